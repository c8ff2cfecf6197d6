DROP TABLE texts;
ALTER TABLE guardians DROP COLUMN texts_agreed_at;
