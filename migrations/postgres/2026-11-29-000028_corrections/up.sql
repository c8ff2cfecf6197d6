-- The name that stands on a child's certificate, where it is not the child's name as written for every day.
ALTER TABLE riders ADD COLUMN paper_name TEXT NOT NULL DEFAULT '';
