DROP INDEX registrations_by_held_until;
DROP TABLE place_changes;
DROP TABLE question_tokens;
DROP TABLE questions;
DROP INDEX accounts_by_email;
ALTER TABLE accounts DROP COLUMN email;
ALTER TABLE accounts RENAME COLUMN sign_in_name TO email;
