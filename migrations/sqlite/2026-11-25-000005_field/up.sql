CREATE TABLE machines (
    id INTEGER PRIMARY KEY,
    number TEXT NOT NULL CONSTRAINT machines_number_once UNIQUE,
    make_model TEXT NOT NULL,
    category TEXT NOT NULL CONSTRAINT machines_category CHECK (category IN ('Y-6+', 'Y-10+', 'Y-12+', 'T', 'G', 'S', 'U')),
    built_on DATE NOT NULL,
    engine_cc_tenths BIGINT NOT NULL,
    dry_weight_g BIGINT NOT NULL,
    seat_height_um BIGINT NOT NULL,
    seat_to_rest_um BIGINT NOT NULL,
    limiter_tenths_mph BIGINT,
    state TEXT NOT NULL REFERENCES machine_states (word)
);
-- Append-only: the one record of everything done at a session.
CREATE TABLE acts (
    id INTEGER PRIMARY KEY,
    act_id BLOB NOT NULL CONSTRAINT acts_once UNIQUE,
    session_id BIGINT NOT NULL REFERENCES sessions (id),
    registration_id BIGINT REFERENCES registrations (id),
    device TEXT NOT NULL,
    seq BIGINT NOT NULL,
    counter BIGINT NOT NULL,
    seen BIGINT NOT NULL,
    kind TEXT NOT NULL REFERENCES act_kinds (word),
    body TEXT NOT NULL,
    at TIMESTAMP NOT NULL,
    received_at TIMESTAMP NOT NULL,
    account_id BIGINT NOT NULL REFERENCES accounts (id),
    by_lead BOOLEAN NOT NULL,
    standing TEXT NOT NULL CONSTRAINT acts_standing CHECK (standing IN ('taken', 'conflict', 'late', 'quarantine')),
    CONSTRAINT acts_seq_once UNIQUE (session_id, device, seq)
);
CREATE INDEX acts_by_registration ON acts (registration_id);
CREATE TABLE grants (
    id INTEGER PRIMARY KEY,
    code TEXT NOT NULL CONSTRAINT grants_code_once UNIQUE,
    name TEXT NOT NULL,
    starts_on DATE NOT NULL,
    ends_on DATE NOT NULL,
    helmets_target BIGINT NOT NULL,
    CONSTRAINT grants_order CHECK (starts_on <= ends_on)
);
CREATE TABLE gear_lots (
    id INTEGER PRIMARY KEY,
    code TEXT NOT NULL CONSTRAINT gear_lots_code_once UNIQUE,
    grant_id BIGINT NOT NULL REFERENCES grants (id),
    model TEXT NOT NULL,
    size_label TEXT NOT NULL,
    least_head_um BIGINT NOT NULL,
    most_head_um BIGINT NOT NULL,
    standard TEXT NOT NULL,
    made_month DATE NOT NULL,
    unit_cost_cents BIGINT NOT NULL CONSTRAINT gear_lots_cost CHECK (unit_cost_cents >= 0),
    received BIGINT NOT NULL,
    on_hand BIGINT NOT NULL,
    CONSTRAINT gear_lots_never_negative CHECK (on_hand >= 0 AND on_hand <= received),
    CONSTRAINT gear_lots_range CHECK (least_head_um <= most_head_um)
);
CREATE TABLE gear_issues (
    id INTEGER PRIMARY KEY,
    lot_id BIGINT NOT NULL REFERENCES gear_lots (id),
    registration_id BIGINT NOT NULL REFERENCES registrations (id),
    act_id BLOB NOT NULL CONSTRAINT gear_issues_act_once UNIQUE REFERENCES acts (act_id),
    way TEXT NOT NULL CONSTRAINT gear_issues_way CHECK (way IN ('lent', 'given')),
    issued_at TIMESTAMP NOT NULL,
    returned_at TIMESTAMP,
    CONSTRAINT gear_issues_rider_once UNIQUE (registration_id, way)
);
-- Encrypted in the database so that several instances and one backup see them.
CREATE TABLE files (
    id INTEGER PRIMARY KEY,
    reference TEXT NOT NULL CONSTRAINT files_reference_once UNIQUE,
    kind TEXT NOT NULL,
    media TEXT NOT NULL,
    row_key BLOB NOT NULL,
    body BLOB NOT NULL,
    created_at TIMESTAMP NOT NULL
);
CREATE TABLE certificates (
    id INTEGER PRIMARY KEY,
    code TEXT NOT NULL CONSTRAINT certificates_code_once UNIQUE,
    registration_id BIGINT NOT NULL REFERENCES registrations (id),
    rider_name TEXT NOT NULL,
    completed_on DATE NOT NULL,
    valid_from DATE NOT NULL,
    lead_name TEXT NOT NULL,
    language TEXT NOT NULL,
    file_id BIGINT REFERENCES files (id),
    issued_at TIMESTAMP NOT NULL,
    revoked_at TIMESTAMP,
    revoked_why TEXT
);
CREATE INDEX certificates_by_registration ON certificates (registration_id);
