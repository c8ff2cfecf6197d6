-- How a guardianship came to stand as it does, in the office's own words.
ALTER TABLE guardianships ADD COLUMN note TEXT NOT NULL DEFAULT '';

-- An adult who answers for children asks another one to answer with them.
CREATE TABLE invitations (
    id INTEGER PRIMARY KEY,
    reference TEXT NOT NULL CONSTRAINT invitations_reference_once UNIQUE,
    guardian_id BIGINT NOT NULL REFERENCES guardians (id),
    name TEXT NOT NULL,
    address TEXT NOT NULL,
    language TEXT NOT NULL CONSTRAINT invitations_language CHECK (language IN ('en', 'es')),
    asked_at TIMESTAMP NOT NULL,
    ended_at TIMESTAMP,
    joined_id BIGINT REFERENCES guardians (id)
);
CREATE INDEX invitations_by_guardian ON invitations (guardian_id);
CREATE TABLE invited_riders (
    invitation_id BIGINT NOT NULL REFERENCES invitations (id),
    rider_id BIGINT NOT NULL REFERENCES riders (id),
    PRIMARY KEY (invitation_id, rider_id)
);
CREATE INDEX invited_riders_by_rider ON invited_riders (rider_id);
-- Drawn when the letter is sent, once for each try; only the SHA-256 is kept.
CREATE TABLE invitation_tokens (
    token_hash BLOB NOT NULL PRIMARY KEY,
    invitation_id BIGINT NOT NULL REFERENCES invitations (id),
    drawn_at TIMESTAMP NOT NULL
);
CREATE INDEX invitation_tokens_by_invitation ON invitation_tokens (invitation_id);

-- One more kind of contact: the adult who is there on the day. A check of a column in a unique key needs a new table.
CREATE TABLE contacts_before (registration_id BIGINT, ordinal BIGINT, kind TEXT, name TEXT, phone TEXT);
INSERT INTO contacts_before SELECT registration_id, ordinal, kind, name, phone FROM contacts ORDER BY id;
DROP TABLE contacts;
CREATE TABLE contacts (
    id INTEGER PRIMARY KEY,
    registration_id BIGINT NOT NULL REFERENCES registrations (id),
    ordinal BIGINT NOT NULL,
    kind TEXT NOT NULL CONSTRAINT contacts_kind CHECK (kind IN ('emergency', 'pick_up', 'not_release', 'on_the_day')),
    name TEXT NOT NULL,
    phone TEXT NOT NULL,
    CONSTRAINT contacts_ordinal_once UNIQUE (registration_id, kind, ordinal)
);
INSERT INTO contacts (registration_id, ordinal, kind, name, phone)
    SELECT registration_id, ordinal, kind, name, phone FROM contacts_before;
DROP TABLE contacts_before;
