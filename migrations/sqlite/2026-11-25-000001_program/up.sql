-- The least program level that may serve this schema. A program refuses only a schema above its own level.
CREATE TABLE schema_level (
    id BIGINT NOT NULL PRIMARY KEY CONSTRAINT schema_level_one_row CHECK (id = 1),
    least_program BIGINT NOT NULL
);
INSERT INTO schema_level (id, least_program) VALUES (1, 1);

-- Word lists that will grow: one small table each, named by the word itself.
CREATE TABLE roles (word TEXT NOT NULL PRIMARY KEY);
INSERT INTO roles (word) VALUES ('guardian'), ('helper'), ('instructor'), ('first_aid'), ('coordinator'),
    ('grant_manager'), ('administrator'), ('partner');
CREATE TABLE certification_kinds (word TEXT NOT NULL PRIMARY KEY);
INSERT INTO certification_kinds (word) VALUES ('riding'), ('first_aid'), ('background'), ('child_protection');
CREATE TABLE session_states (word TEXT NOT NULL PRIMARY KEY);
INSERT INTO session_states (word) VALUES ('announced'), ('closed'), ('reopened'), ('cancelled');
CREATE TABLE registration_states (word TEXT NOT NULL PRIMARY KEY);
INSERT INTO registration_states (word) VALUES ('held'), ('confirmed'), ('waitlisted'), ('offered'), ('lapsed'), ('cancelled');
CREATE TABLE outcomes (word TEXT NOT NULL PRIMARY KEY);
INSERT INTO outcomes (word) VALUES ('attended'), ('late'), ('left_early'), ('turned_away'), ('chose_to_stop'), ('absent');
CREATE TABLE act_kinds (word TEXT NOT NULL PRIMARY KEY);
INSERT INTO act_kinds (word) VALUES ('check_in'), ('count'), ('measures'), ('fit'), ('gear'), ('helmet'), ('mark'),
    ('lesson_marks'), ('outcome'), ('check_out');
CREATE TABLE machine_states (word TEXT NOT NULL PRIMARY KEY);
INSERT INTO machine_states (word) VALUES ('ready'), ('out_of_use'), ('retired');

-- One installation serves one program.
CREATE TABLE programs (
    id BIGINT NOT NULL PRIMARY KEY CONSTRAINT programs_one_row CHECK (id = 1),
    name TEXT NOT NULL,
    state_fips TEXT NOT NULL,
    county_set BIGINT NOT NULL,
    time_zone TEXT NOT NULL,
    office_phone TEXT NOT NULL,
    office_email TEXT NOT NULL,
    demonstration BOOLEAN NOT NULL,
    settings TEXT NOT NULL
);

CREATE TABLE counties (
    county_set BIGINT NOT NULL,
    fips TEXT NOT NULL CONSTRAINT counties_five_characters CHECK (length(fips) = 5),
    state_fips TEXT NOT NULL,
    name TEXT NOT NULL,
    PRIMARY KEY (county_set, fips)
);
CREATE INDEX counties_by_state ON counties (county_set, state_fips);

-- Curriculum, fit rules and cautions by version: a session keeps the versions it was held under.
CREATE TABLE rulebooks (
    id INTEGER PRIMARY KEY,
    kind TEXT NOT NULL CONSTRAINT rulebooks_kind CHECK (kind IN ('curriculum', 'fit', 'cautions')),
    version BIGINT NOT NULL,
    starts_on DATE NOT NULL,
    body TEXT NOT NULL,
    added_at TIMESTAMP NOT NULL,
    CONSTRAINT rulebooks_version_once UNIQUE (kind, version)
);

CREATE TABLE consent_texts (
    id INTEGER PRIMARY KEY,
    kind TEXT NOT NULL CONSTRAINT consent_texts_kind CHECK (kind IN ('ride', 'photo')),
    version BIGINT NOT NULL,
    language TEXT NOT NULL CONSTRAINT consent_texts_language CHECK (language IN ('en', 'es')),
    body TEXT NOT NULL,
    shown_hash TEXT NOT NULL,
    sample BOOLEAN NOT NULL,
    approved_by TEXT,
    approved_on DATE,
    CONSTRAINT consent_texts_version_once UNIQUE (kind, version, language),
    CONSTRAINT consent_texts_approval_whole CHECK ((approved_by IS NULL) = (approved_on IS NULL))
);
