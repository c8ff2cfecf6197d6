-- What somebody saw an adult of the program do. Sealed; two named people read it, and nobody else.
CREATE TABLE concern_readers (
    account_id BIGINT PRIMARY KEY REFERENCES accounts (id),
    since TIMESTAMP NOT NULL
);
CREATE TABLE concerns (
    id INTEGER PRIMARY KEY,
    reference TEXT NOT NULL CONSTRAINT concerns_reference UNIQUE,
    about_staff_id BIGINT REFERENCES staff (id),
    row_key BLOB NOT NULL,
    body BLOB NOT NULL,
    written_at TIMESTAMP NOT NULL,
    written_by BIGINT NOT NULL REFERENCES accounts (id),
    settled_at TIMESTAMP,
    settled_by BIGINT REFERENCES accounts (id)
);
CREATE TABLE concern_notes (
    id INTEGER PRIMARY KEY,
    concern_id BIGINT NOT NULL REFERENCES concerns (id),
    row_key BLOB NOT NULL,
    body BLOB NOT NULL,
    at TIMESTAMP NOT NULL,
    account_id BIGINT NOT NULL REFERENCES accounts (id)
);
CREATE INDEX concern_notes_by_concern ON concern_notes (concern_id);
