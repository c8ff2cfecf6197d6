-- A letter also asks whether a child is still coming.
ALTER TABLE questions ADD COLUMN about TEXT NOT NULL DEFAULT 'address'
    CONSTRAINT questions_about CHECK (about IN ('address', 'offer', 'coming'));
UPDATE questions SET about = kind;
ALTER TABLE questions DROP COLUMN kind;
ALTER TABLE questions RENAME COLUMN about TO kind;

-- More steps that a place can take.
ALTER TABLE place_changes ADD COLUMN why TEXT NOT NULL DEFAULT 'registered'
    CONSTRAINT place_changes_why CHECK (why IN
        ('registered', 'address_shown', 'seat_freed', 'offer_taken', 'offer_left', 'ran_out', 'given_up', 'known_already',
         'moved', 'comes', 'stays_away', 'office_gave_up', 'office_seated'));
UPDATE place_changes SET why = reason;
ALTER TABLE place_changes DROP COLUMN reason;
ALTER TABLE place_changes RENAME COLUMN why TO reason;
-- From which session a place was moved to the one where it stands.
CREATE TABLE moved_places (
    change_id BIGINT NOT NULL PRIMARY KEY REFERENCES place_changes (id),
    from_session_id BIGINT NOT NULL REFERENCES sessions (id)
);

-- When the family said last that the child comes; whether it can come at short notice; whether brothers and sisters in
-- line want seats together or none.
ALTER TABLE registrations ADD COLUMN comes_at TIMESTAMP;
ALTER TABLE registrations ADD COLUMN standby BOOLEAN NOT NULL DEFAULT FALSE;
ALTER TABLE registrations ADD COLUMN together BOOLEAN NOT NULL DEFAULT FALSE;

-- Which reminders went out, once a place, kind and first day.
CREATE TABLE reminders (
    id INTEGER PRIMARY KEY,
    registration_id BIGINT NOT NULL REFERENCES registrations (id),
    kind TEXT NOT NULL CONSTRAINT reminders_kind CHECK (kind IN ('week', 'ask', 'ask_again', 'day')),
    held_on DATE NOT NULL,
    at TIMESTAMP NOT NULL,
    CONSTRAINT reminders_once UNIQUE (registration_id, kind, held_on)
);
ALTER TABLE accounts ADD COLUMN reminders_off_at TIMESTAMP;

-- Riders more than machines and helmets there are, because some do not come; never more than instructors may teach.
ALTER TABLE seat_limits ADD COLUMN overbooked BIGINT NOT NULL DEFAULT 0;
