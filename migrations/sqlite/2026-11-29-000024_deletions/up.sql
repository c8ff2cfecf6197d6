-- Families that ask for their data to be deleted; the office looks, and does it.
CREATE TABLE deletions (
    id INTEGER PRIMARY KEY,
    reference TEXT NOT NULL CONSTRAINT deletions_reference_once UNIQUE,
    account_id BIGINT NOT NULL REFERENCES accounts (id),
    asked_at TIMESTAMP NOT NULL,
    ended_at TIMESTAMP
);
CREATE INDEX deletions_by_account ON deletions (account_id);
