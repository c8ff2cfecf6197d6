-- A session has one or more meetings; its first day is held_on. The default serves only rows older than the column:
-- they had one meeting each.
ALTER TABLE sessions ADD COLUMN last_on DATE NOT NULL DEFAULT '1970-01-01';
UPDATE sessions SET last_on = held_on;
-- The meeting, by its ordinal, that an act belongs to.
ALTER TABLE acts ADD COLUMN meeting BIGINT NOT NULL DEFAULT 1 CONSTRAINT acts_meeting CHECK (meeting > 0);
INSERT INTO act_kinds (word) VALUES ('proof');
-- Proof of an earlier part: whether a course asks for one, and whether nobody starts without it.
ALTER TABLE courses ADD COLUMN proof_rule TEXT NOT NULL DEFAULT 'none'
    CONSTRAINT courses_proof_rule CHECK (proof_rule IN ('none', 'asked', 'needed'));
ALTER TABLE courses ADD COLUMN proof_en TEXT NOT NULL DEFAULT '';
ALTER TABLE courses ADD COLUMN proof_es TEXT NOT NULL DEFAULT '';
-- What the family answered, and who of the office saw the proof. On the field an act says so.
CREATE TABLE proofs (
    registration_id BIGINT NOT NULL PRIMARY KEY REFERENCES registrations (id),
    answer TEXT CONSTRAINT proofs_answer CHECK (answer IN ('done', 'not_yet', 'will_bring')),
    seen_at TIMESTAMP,
    seen_by BIGINT REFERENCES accounts (id),
    CONSTRAINT proofs_seen_whole CHECK ((seen_at IS NULL) = (seen_by IS NULL))
);
