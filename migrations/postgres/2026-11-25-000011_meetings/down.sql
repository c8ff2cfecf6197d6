DROP TABLE proofs;
ALTER TABLE courses DROP COLUMN proof_es;
ALTER TABLE courses DROP COLUMN proof_en;
ALTER TABLE courses DROP COLUMN proof_rule;
DELETE FROM acts WHERE kind = 'proof';
DELETE FROM act_kinds WHERE word = 'proof';
ALTER TABLE acts DROP COLUMN meeting;
ALTER TABLE sessions DROP COLUMN last_on;
