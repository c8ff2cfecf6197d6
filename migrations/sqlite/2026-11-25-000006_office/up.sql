-- What a report counts. Written anew whenever a session closes or reopens; keys are pseudonyms and outlive erasure.
CREATE TABLE session_facts (
    session_id BIGINT NOT NULL PRIMARY KEY REFERENCES sessions (id),
    held_on DATE NOT NULL,
    county_set BIGINT NOT NULL,
    site_county TEXT NOT NULL,
    course_id BIGINT NOT NULL,
    language TEXT NOT NULL
);
CREATE INDEX session_facts_by_day ON session_facts (held_on);
CREATE TABLE rider_facts (
    id INTEGER PRIMARY KEY,
    session_id BIGINT NOT NULL REFERENCES sessions (id),
    registration_ref TEXT NOT NULL CONSTRAINT rider_facts_registration_once UNIQUE,
    rider_key TEXT NOT NULL,
    held_on DATE NOT NULL,
    county_set BIGINT NOT NULL,
    site_county TEXT NOT NULL,
    home_county TEXT NOT NULL,
    course_id BIGINT NOT NULL,
    outcome TEXT NOT NULL REFERENCES outcomes (word),
    participated BIGINT NOT NULL CONSTRAINT rider_facts_participated CHECK (participated IN (0, 1)),
    completed BIGINT NOT NULL CONSTRAINT rider_facts_completed CHECK (completed IN (0, 1)),
    helmets BIGINT NOT NULL,
    grant_id BIGINT REFERENCES grants (id),
    CONSTRAINT rider_facts_completed_took_part CHECK (completed <= participated)
);
CREATE INDEX rider_facts_by_day ON rider_facts (held_on);
CREATE INDEX rider_facts_by_session ON rider_facts (session_id);
-- Sums by month (its first day), site county, home county and course.
CREATE TABLE month_sums (
    month DATE NOT NULL,
    county_set BIGINT NOT NULL,
    site_county TEXT NOT NULL,
    home_county TEXT NOT NULL,
    course_id BIGINT NOT NULL,
    participations BIGINT NOT NULL,
    completions BIGINT NOT NULL,
    helmets BIGINT NOT NULL,
    PRIMARY KEY (month, county_set, site_county, home_county, course_id)
);

CREATE TABLE audit_rows (
    id INTEGER PRIMARY KEY,
    at TIMESTAMP NOT NULL,
    account_id BIGINT,
    action TEXT NOT NULL,
    subject TEXT NOT NULL,
    request_id TEXT NOT NULL,
    detail TEXT NOT NULL,
    row_hash TEXT NOT NULL
);
CREATE TABLE audit_seals (
    id INTEGER PRIMARY KEY,
    first_row BIGINT NOT NULL,
    last_row BIGINT NOT NULL,
    rows_sealed BIGINT NOT NULL,
    previous_head TEXT NOT NULL CONSTRAINT audit_seals_follow UNIQUE,
    head TEXT NOT NULL,
    sealed_at TIMESTAMP NOT NULL
);
CREATE TABLE outbox (
    id INTEGER PRIMARY KEY,
    message_id TEXT NOT NULL CONSTRAINT outbox_message_once UNIQUE,
    kind TEXT NOT NULL,
    subject_id BIGINT NOT NULL,
    account_id BIGINT NOT NULL REFERENCES accounts (id),
    language TEXT NOT NULL,
    state TEXT NOT NULL CONSTRAINT outbox_state CHECK (state IN ('due', 'sent', 'stopped')),
    tries BIGINT NOT NULL,
    due_at TIMESTAMP NOT NULL,
    leased_until TIMESTAMP,
    leased_by TEXT,
    created_at TIMESTAMP NOT NULL,
    sent_at TIMESTAMP,
    fault TEXT
);
CREATE INDEX outbox_due ON outbox (state, due_at);
CREATE TABLE job_leases (
    name TEXT NOT NULL PRIMARY KEY,
    holder TEXT NOT NULL,
    leased_until TIMESTAMP NOT NULL
);
