CREATE TABLE contacts_before (registration_id BIGINT, ordinal BIGINT, kind TEXT, name TEXT, phone TEXT);
INSERT INTO contacts_before SELECT registration_id, ordinal, kind, name, phone FROM contacts
    WHERE kind <> 'on_the_day' ORDER BY id;
DROP TABLE contacts;
CREATE TABLE contacts (
    id INTEGER PRIMARY KEY,
    registration_id BIGINT NOT NULL REFERENCES registrations (id),
    ordinal BIGINT NOT NULL,
    kind TEXT NOT NULL CONSTRAINT contacts_kind CHECK (kind IN ('emergency', 'pick_up', 'not_release')),
    name TEXT NOT NULL,
    phone TEXT NOT NULL,
    CONSTRAINT contacts_ordinal_once UNIQUE (registration_id, kind, ordinal)
);
INSERT INTO contacts (registration_id, ordinal, kind, name, phone)
    SELECT registration_id, ordinal, kind, name, phone FROM contacts_before;
DROP TABLE contacts_before;
DROP TABLE invitation_tokens;
DROP TABLE invited_riders;
DROP TABLE invitations;
ALTER TABLE guardianships DROP COLUMN note;
