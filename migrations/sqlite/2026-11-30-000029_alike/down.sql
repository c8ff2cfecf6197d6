DROP INDEX measures_by_registration;
DROP TABLE children_alike;
DROP INDEX guardians_by_email;
DROP INDEX guardians_by_phone;
DROP INDEX riders_by_birth_date;
DROP INDEX riders_to_compare;
ALTER TABLE riders DROP COLUMN compared_at;
ALTER TABLE riders DROP COLUMN words;
ALTER TABLE guardians DROP COLUMN words;
