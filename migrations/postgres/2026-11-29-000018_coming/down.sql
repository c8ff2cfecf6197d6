ALTER TABLE seat_limits DROP COLUMN overbooked;
ALTER TABLE accounts DROP COLUMN reminders_off_at;
DROP TABLE reminders;
ALTER TABLE registrations DROP COLUMN together;
ALTER TABLE registrations DROP COLUMN standby;
ALTER TABLE registrations DROP COLUMN comes_at;
DROP TABLE moved_places;
ALTER TABLE place_changes ADD COLUMN why TEXT NOT NULL DEFAULT 'registered'
    CONSTRAINT place_changes_reason CHECK (why IN
        ('registered', 'address_shown', 'seat_freed', 'offer_taken', 'offer_left', 'ran_out', 'given_up', 'known_already'));
DELETE FROM place_changes WHERE reason IN ('moved', 'comes', 'stays_away', 'office_gave_up', 'office_seated');
UPDATE place_changes SET why = reason;
ALTER TABLE place_changes DROP COLUMN reason;
ALTER TABLE place_changes RENAME COLUMN why TO reason;
DELETE FROM question_tokens WHERE question_id IN (SELECT id FROM questions WHERE kind = 'coming');
DELETE FROM questions WHERE kind = 'coming';
ALTER TABLE questions ADD COLUMN about TEXT NOT NULL DEFAULT 'address'
    CONSTRAINT questions_kind CHECK (about IN ('address', 'offer'));
UPDATE questions SET about = kind;
ALTER TABLE questions DROP COLUMN kind;
ALTER TABLE questions RENAME COLUMN about TO kind;
