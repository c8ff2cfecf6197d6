ALTER TABLE riders DROP COLUMN paper_name;
