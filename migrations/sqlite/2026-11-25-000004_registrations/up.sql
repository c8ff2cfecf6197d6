CREATE TABLE registrations (
    id INTEGER PRIMARY KEY,
    reference TEXT NOT NULL CONSTRAINT registrations_reference_once UNIQUE,
    session_id BIGINT NOT NULL REFERENCES sessions (id),
    rider_id BIGINT NOT NULL REFERENCES riders (id),
    guardian_id BIGINT NOT NULL REFERENCES guardians (id),
    state TEXT NOT NULL REFERENCES registration_states (word),
    place BIGINT,
    held_until TIMESTAMP,
    outcome TEXT REFERENCES outcomes (word),
    language TEXT NOT NULL CONSTRAINT registrations_language CHECK (language IN ('en', 'es')),
    ridden TEXT NOT NULL CONSTRAINT registrations_ridden CHECK (ridden IN ('never', 'few', 'often', 'unknown')),
    created_at TIMESTAMP NOT NULL,
    CONSTRAINT registrations_rider_once UNIQUE (session_id, rider_id),
    CONSTRAINT registrations_place_waits CHECK ((state = 'waitlisted') = (place IS NOT NULL))
);
CREATE INDEX registrations_by_rider ON registrations (rider_id);
CREATE INDEX registrations_by_guardian ON registrations (guardian_id);
-- Sealed: key version, nonce, ciphertext. The row key was drawn before the insert and is bound into the seal.
CREATE TABLE health_notes (
    registration_id BIGINT NOT NULL PRIMARY KEY REFERENCES registrations (id),
    row_key BLOB NOT NULL,
    body BLOB NOT NULL,
    changed_at TIMESTAMP NOT NULL
);
CREATE TABLE contacts (
    id INTEGER PRIMARY KEY,
    registration_id BIGINT NOT NULL REFERENCES registrations (id),
    ordinal BIGINT NOT NULL,
    kind TEXT NOT NULL CONSTRAINT contacts_kind CHECK (kind IN ('emergency', 'pick_up', 'not_release')),
    name TEXT NOT NULL,
    phone TEXT NOT NULL,
    CONSTRAINT contacts_ordinal_once UNIQUE (registration_id, kind, ordinal)
);
-- Lengths in micrometres, mass in grams.
CREATE TABLE measures (
    id INTEGER PRIMARY KEY,
    rider_id BIGINT NOT NULL REFERENCES riders (id),
    registration_id BIGINT REFERENCES registrations (id),
    measured_by TEXT NOT NULL CONSTRAINT measures_by CHECK (measured_by IN ('guardian', 'staff')),
    taken_on DATE NOT NULL,
    height_um BIGINT,
    weight_g BIGINT,
    inseam_um BIGINT,
    reach_um BIGINT,
    hand_um BIGINT,
    foot_um BIGINT,
    head_um BIGINT
);
CREATE INDEX measures_by_rider ON measures (rider_id);
CREATE TABLE consents (
    id INTEGER PRIMARY KEY,
    registration_id BIGINT NOT NULL REFERENCES registrations (id),
    guardian_id BIGINT NOT NULL REFERENCES guardians (id),
    text_id BIGINT NOT NULL REFERENCES consent_texts (id),
    signed_name TEXT NOT NULL,
    ticks TEXT NOT NULL,
    shown_hash TEXT NOT NULL,
    signed_at TIMESTAMP NOT NULL,
    zone TEXT NOT NULL,
    withdrawn_at TIMESTAMP,
    CONSTRAINT consents_text_once UNIQUE (registration_id, guardian_id, text_id)
);
-- Answers on the way through registration, sealed; owner is the SHA-256 of a cookie's token.
CREATE TABLE drafts (
    id INTEGER PRIMARY KEY,
    owner BLOB NOT NULL,
    session_id BIGINT NOT NULL REFERENCES sessions (id),
    row_key BLOB NOT NULL,
    body BLOB NOT NULL,
    changed_at TIMESTAMP NOT NULL,
    CONSTRAINT drafts_owner_once UNIQUE (owner, session_id)
);
-- First answers kept so that the same key gets the same answer for at least 24 hours.
CREATE TABLE request_keys (
    id INTEGER PRIMARY KEY,
    owner BLOB NOT NULL,
    request_key TEXT NOT NULL,
    digest BLOB NOT NULL,
    answer TEXT NOT NULL,
    created_at TIMESTAMP NOT NULL,
    CONSTRAINT request_keys_once UNIQUE (owner, request_key)
);
