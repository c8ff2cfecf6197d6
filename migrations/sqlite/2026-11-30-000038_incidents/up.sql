INSERT INTO act_kinds (word) VALUES ('near_miss'), ('incident');
ALTER TABLE programs ADD COLUMN last_case BIGINT NOT NULL DEFAULT 0;
-- What hurt a person or broke a machine. The report is sealed; after closing only addenda are added.
CREATE TABLE incidents (
    id INTEGER PRIMARY KEY,
    reference TEXT NOT NULL CONSTRAINT incidents_reference UNIQUE,
    case_number BIGINT NOT NULL CONSTRAINT incidents_case UNIQUE,
    session_id BIGINT NOT NULL REFERENCES sessions (id),
    registration_id BIGINT REFERENCES registrations (id),
    defect_id BIGINT REFERENCES machine_defects (id),
    kind TEXT NOT NULL CONSTRAINT incidents_kind CHECK (kind IN ('hurt', 'damage')),
    ambulance BOOLEAN NOT NULL,
    row_key BLOB NOT NULL,
    body BLOB NOT NULL,
    happened_on DATE NOT NULL,
    learned_at TIMESTAMP NOT NULL,
    opened_by BIGINT NOT NULL REFERENCES accounts (id),
    signed_at TIMESTAMP,
    signed_by BIGINT REFERENCES accounts (id),
    closed_at TIMESTAMP,
    closed_by BIGINT REFERENCES accounts (id),
    insurer_told_at TIMESTAMP,
    insurer_told_by BIGINT REFERENCES accounts (id),
    CONSTRAINT incidents_two_people CHECK (closed_by IS NULL OR (signed_by IS NOT NULL AND closed_by <> signed_by))
);
CREATE INDEX incidents_by_session ON incidents (session_id);
CREATE TABLE incident_addenda (
    id INTEGER PRIMARY KEY,
    incident_id BIGINT NOT NULL REFERENCES incidents (id),
    row_key BLOB NOT NULL,
    body BLOB NOT NULL,
    at TIMESTAMP NOT NULL,
    account_id BIGINT NOT NULL REFERENCES accounts (id)
);
CREATE INDEX incident_addenda_by_incident ON incident_addenda (incident_id);
CREATE TABLE incident_photos (
    id INTEGER PRIMARY KEY,
    incident_id BIGINT NOT NULL REFERENCES incidents (id),
    ordinal BIGINT NOT NULL,
    file_id BIGINT NOT NULL REFERENCES files (id),
    at TIMESTAMP NOT NULL,
    account_id BIGINT NOT NULL REFERENCES accounts (id),
    CONSTRAINT incident_photos_once UNIQUE (incident_id, ordinal)
);
