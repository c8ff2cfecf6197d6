DROP TABLE second_step_losses;
DROP TABLE link_tokens;
DROP TABLE links;
DROP TABLE wrong_tries;
DROP TABLE recovery_codes;
DROP TABLE authenticators;
ALTER TABLE sign_ins DROP COLUMN second_step;
ALTER TABLE sign_ins DROP COLUMN awaits_code;
ALTER TABLE sign_ins DROP COLUMN way;
