-- From here on a login knows how it was proven and whether its second step is still due. Older logins end: they do not.
ALTER TABLE sign_ins ADD COLUMN way TEXT NOT NULL DEFAULT 'password'
    CONSTRAINT sign_ins_way CHECK (way IN ('password', 'link', 'demo', 'registration'));
ALTER TABLE sign_ins ADD COLUMN awaits_code BOOLEAN NOT NULL DEFAULT FALSE;
ALTER TABLE sign_ins ADD COLUMN second_step BOOLEAN NOT NULL DEFAULT FALSE;
UPDATE sign_ins SET ended_at = created_at WHERE ended_at IS NULL;

-- The app on somebody's phone that shows six digits. `secret` is sealed to its row; `last_step` is the thirty seconds of
-- the last code that was taken, so that no code serves twice.
CREATE TABLE authenticators (
    account_id BIGINT NOT NULL PRIMARY KEY REFERENCES accounts (id),
    row_key BLOB NOT NULL,
    secret BLOB NOT NULL,
    last_step BIGINT NOT NULL,
    created_at TIMESTAMP NOT NULL
);
-- Only the SHA-256 of a code is kept; a code has 76 random bits.
CREATE TABLE recovery_codes (
    account_id BIGINT NOT NULL REFERENCES accounts (id),
    code_hash BLOB NOT NULL,
    used_at TIMESTAMP,
    PRIMARY KEY (account_id, code_hash)
);
-- Wrong passwords and codes of the last quarter of an hour, by the SHA-256 of what was tried: an address, a network.
CREATE TABLE wrong_tries (
    id INTEGER PRIMARY KEY,
    key_hash BLOB NOT NULL,
    at TIMESTAMP NOT NULL
);
CREATE INDEX wrong_tries_by_key ON wrong_tries (key_hash, at);

-- A link that was asked for. Without an account the address is not known here and no letter goes out, or the link is the
-- one with which the first administrator makes an account.
CREATE TABLE links (
    id INTEGER PRIMARY KEY,
    account_id BIGINT REFERENCES accounts (id),
    purpose TEXT NOT NULL CONSTRAINT links_purpose CHECK (purpose IN ('sign_in', 'address', 'first_account')),
    address TEXT NOT NULL,
    earlier_address TEXT NOT NULL,
    asked_at TIMESTAMP NOT NULL,
    used_at TIMESTAMP,
    voided_at TIMESTAMP
);
CREATE INDEX links_by_account ON links (account_id);
-- Drawn when the letter is sent, once for each try; only the SHA-256 is kept.
CREATE TABLE link_tokens (
    token_hash BLOB NOT NULL PRIMARY KEY,
    link_id BIGINT NOT NULL REFERENCES links (id),
    drawn_at TIMESTAMP NOT NULL
);
CREATE INDEX link_tokens_by_link ON link_tokens (link_id);
-- Somebody lost both phone and recovery codes: one administrator asks, another one agrees.
CREATE TABLE second_step_losses (
    account_id BIGINT NOT NULL PRIMARY KEY REFERENCES accounts (id),
    asked_by BIGINT NOT NULL REFERENCES accounts (id),
    asked_at TIMESTAMP NOT NULL
);
