-- Text messages to adults who agreed to them. A row holds what a text is about, never its words; the telephone is kept
-- so that a text that was asked for another one does not go out.
ALTER TABLE guardians ADD COLUMN texts_agreed_at TIMESTAMP;
CREATE TABLE texts (
    id INTEGER PRIMARY KEY,
    kind TEXT NOT NULL CONSTRAINT texts_kind CHECK (kind IN ('called_off', 'moved', 'offered', 'reminder')),
    guardian_id BIGINT NOT NULL REFERENCES guardians (id),
    phone TEXT NOT NULL,
    session_id BIGINT NOT NULL REFERENCES sessions (id),
    held_on DATE NOT NULL,
    registration_id BIGINT REFERENCES registrations (id),
    telling_id BIGINT REFERENCES tellings (id),
    language TEXT NOT NULL,
    state TEXT NOT NULL CONSTRAINT texts_state CHECK (state IN ('due', 'sent', 'stopped', 'unsure', 'moot')),
    tries BIGINT NOT NULL,
    due_at TIMESTAMP NOT NULL,
    leased_until TIMESTAMP,
    leased_by TEXT,
    handed_at TIMESTAMP,
    created_at TIMESTAMP NOT NULL,
    ended_at TIMESTAMP,
    fault TEXT
);
CREATE INDEX texts_due ON texts (state, due_at);
CREATE INDEX texts_by_guardian ON texts (guardian_id);
CREATE INDEX texts_by_session ON texts (session_id);
CREATE INDEX texts_by_registration ON texts (registration_id);
CREATE INDEX texts_by_telling ON texts (telling_id);
