-- An account is opened by its sign-in name: the address, once its owner has answered a letter there. Until then the name
-- is one that nobody can type, so that registering tells nobody whether an address is known.
ALTER TABLE accounts RENAME COLUMN email TO sign_in_name;
ALTER TABLE accounts ADD COLUMN email TEXT NOT NULL DEFAULT '';
UPDATE accounts SET email = sign_in_name;
CREATE INDEX accounts_by_email ON accounts (email);

-- What a letter asks a family, answered by one press: is this your address, do you take the seat.
CREATE TABLE questions (
    id INTEGER PRIMARY KEY,
    kind TEXT NOT NULL CONSTRAINT questions_kind CHECK (kind IN ('address', 'offer')),
    registration_id BIGINT NOT NULL REFERENCES registrations (id),
    asked_at TIMESTAMP NOT NULL,
    answered_at TIMESTAMP
);
CREATE INDEX questions_by_registration ON questions (registration_id);
-- Drawn when the letter is sent, once for each try; only the SHA-256 is kept.
CREATE TABLE question_tokens (
    token_hash BLOB NOT NULL PRIMARY KEY,
    question_id BIGINT NOT NULL REFERENCES questions (id),
    drawn_at TIMESTAMP NOT NULL
);
CREATE INDEX question_tokens_by_question ON question_tokens (question_id);

-- Every step of a place in a session, in its order; rows are only added.
CREATE TABLE place_changes (
    id INTEGER PRIMARY KEY,
    registration_id BIGINT NOT NULL REFERENCES registrations (id),
    state TEXT NOT NULL REFERENCES registration_states (word),
    reason TEXT NOT NULL CONSTRAINT place_changes_reason CHECK (reason IN
        ('registered', 'address_shown', 'seat_freed', 'offer_taken', 'offer_left', 'ran_out', 'given_up', 'known_already')),
    at TIMESTAMP NOT NULL
);
CREATE INDEX place_changes_by_registration ON place_changes (registration_id);
CREATE INDEX registrations_by_held_until ON registrations (held_until);
