CREATE TABLE accounts (
    id INTEGER PRIMARY KEY,
    reference TEXT NOT NULL CONSTRAINT accounts_reference_once UNIQUE,
    email TEXT NOT NULL CONSTRAINT accounts_email_once UNIQUE,
    email_confirmed_at TIMESTAMP,
    password_hash TEXT,
    given_name TEXT NOT NULL,
    family_name TEXT NOT NULL,
    language TEXT NOT NULL CONSTRAINT accounts_language CHECK (language IN ('en', 'es')),
    disabled_at TIMESTAMP,
    created_at TIMESTAMP NOT NULL
);
CREATE TABLE account_roles (
    account_id BIGINT NOT NULL REFERENCES accounts (id),
    role TEXT NOT NULL REFERENCES roles (word),
    PRIMARY KEY (account_id, role)
);
-- A web login. The token is 256 random bits and only its SHA-256 is kept.
CREATE TABLE sign_ins (
    id INTEGER PRIMARY KEY,
    account_id BIGINT NOT NULL REFERENCES accounts (id),
    token_hash BLOB NOT NULL CONSTRAINT sign_ins_token_once UNIQUE,
    device TEXT NOT NULL,
    created_at TIMESTAMP NOT NULL,
    last_seen TIMESTAMP NOT NULL,
    ends_at TIMESTAMP NOT NULL,
    ended_at TIMESTAMP
);
CREATE INDEX sign_ins_by_account ON sign_ins (account_id);

CREATE TABLE guardians (
    id INTEGER PRIMARY KEY,
    account_id BIGINT CONSTRAINT guardians_account_once UNIQUE REFERENCES accounts (id),
    given_name TEXT NOT NULL,
    family_name TEXT NOT NULL,
    phone TEXT NOT NULL,
    email TEXT,
    language TEXT NOT NULL CONSTRAINT guardians_language CHECK (language IN ('en', 'es')),
    created_at TIMESTAMP NOT NULL
);
CREATE TABLE riders (
    id INTEGER PRIMARY KEY,
    reference TEXT NOT NULL CONSTRAINT riders_reference_once UNIQUE,
    report_key TEXT NOT NULL CONSTRAINT riders_report_key_once UNIQUE,
    given_name TEXT NOT NULL,
    family_name TEXT NOT NULL,
    birth_date DATE NOT NULL,
    county_set BIGINT NOT NULL,
    county TEXT NOT NULL,
    created_at TIMESTAMP NOT NULL,
    CONSTRAINT riders_county FOREIGN KEY (county_set, county) REFERENCES counties (county_set, fips)
);
CREATE TABLE guardianships (
    guardian_id BIGINT NOT NULL REFERENCES guardians (id),
    rider_id BIGINT NOT NULL REFERENCES riders (id),
    state TEXT NOT NULL CONSTRAINT guardianships_state CHECK (state IN ('active', 'restricted', 'revoked')),
    since TIMESTAMP NOT NULL,
    PRIMARY KEY (guardian_id, rider_id)
);
CREATE INDEX guardianships_by_rider ON guardianships (rider_id);

CREATE TABLE staff (
    id INTEGER PRIMARY KEY,
    account_id BIGINT NOT NULL CONSTRAINT staff_account_once UNIQUE REFERENCES accounts (id),
    phone TEXT NOT NULL,
    provisional BOOLEAN NOT NULL,
    created_at TIMESTAMP NOT NULL
);
CREATE TABLE certifications (
    id INTEGER PRIMARY KEY,
    staff_id BIGINT NOT NULL REFERENCES staff (id),
    kind TEXT NOT NULL REFERENCES certification_kinds (word),
    issued_on DATE NOT NULL,
    valid_through DATE NOT NULL,
    suspended_on DATE,
    revoked_on DATE,
    CONSTRAINT certifications_order CHECK (issued_on <= valid_through)
);
CREATE INDEX certifications_by_staff ON certifications (staff_id);
