-- Rises with every change of a session, so that a page drawn before a change cannot overwrite it.
ALTER TABLE sessions ADD COLUMN revision BIGINT NOT NULL DEFAULT 0;

-- Why a session was moved or called off; the words families read stand in the locales.
CREATE TABLE change_reasons (word TEXT NOT NULL PRIMARY KEY);
INSERT INTO change_reasons (word) VALUES ('weather'), ('air'), ('ground'), ('site'), ('staff'), ('machines'),
    ('few_riders'), ('other');
-- One row each time families must be told. `sequence` is the one of their calendars (RFC 5546); `earlier` is what held
-- before, so that a letter sent later can still say it.
CREATE TABLE session_changes (
    id INTEGER PRIMARY KEY,
    session_id BIGINT NOT NULL REFERENCES sessions (id),
    sequence BIGINT NOT NULL,
    kind TEXT NOT NULL CONSTRAINT session_changes_kind CHECK (kind IN ('moved', 'cancelled')),
    reason TEXT NOT NULL REFERENCES change_reasons (word),
    words TEXT NOT NULL,
    words_language TEXT NOT NULL CONSTRAINT session_changes_language CHECK (words_language IN ('en', 'es')),
    earlier TEXT NOT NULL,
    account_id BIGINT REFERENCES accounts (id),
    at TIMESTAMP NOT NULL,
    CONSTRAINT session_changes_sequence_once UNIQUE (session_id, sequence)
);
-- Who is told of a change: one row a family and one a member of the team, so that nobody can be told twice.
CREATE TABLE tellings (
    id INTEGER PRIMARY KEY,
    change_id BIGINT NOT NULL REFERENCES session_changes (id),
    guardian_id BIGINT REFERENCES guardians (id),
    staff_id BIGINT REFERENCES staff (id),
    outbox_id BIGINT REFERENCES outbox (id),
    called_at TIMESTAMP,
    CONSTRAINT tellings_guardian_once UNIQUE (change_id, guardian_id),
    CONSTRAINT tellings_staff_once UNIQUE (change_id, staff_id),
    CONSTRAINT tellings_one_person CHECK ((guardian_id IS NULL) <> (staff_id IS NULL))
);

-- A pattern: what a session is made of, kept so that more can be made like it.
CREATE TABLE patterns (
    id INTEGER PRIMARY KEY,
    reference TEXT NOT NULL CONSTRAINT patterns_reference_once UNIQUE,
    name TEXT NOT NULL CONSTRAINT patterns_name_once UNIQUE,
    course_id BIGINT NOT NULL REFERENCES courses (id),
    site_id BIGINT NOT NULL REFERENCES sites (id),
    language TEXT NOT NULL CONSTRAINT patterns_language CHECK (language IN ('en', 'es')),
    choice BIGINT,
    created_at TIMESTAMP NOT NULL
);
-- `day` counts from the first meeting's day, which is 0; `starts` is a wall time such as 08:30.
CREATE TABLE pattern_meetings (
    pattern_id BIGINT NOT NULL REFERENCES patterns (id),
    ordinal BIGINT NOT NULL,
    day BIGINT NOT NULL CONSTRAINT pattern_meetings_day CHECK (day >= 0),
    starts TEXT NOT NULL,
    minutes BIGINT NOT NULL CONSTRAINT pattern_meetings_length CHECK (minutes > 0),
    PRIMARY KEY (pattern_id, ordinal)
);
CREATE TABLE pattern_staff (
    pattern_id BIGINT NOT NULL REFERENCES patterns (id),
    staff_id BIGINT NOT NULL REFERENCES staff (id),
    duty TEXT NOT NULL CONSTRAINT pattern_staff_duty CHECK (duty IN ('lead', 'instructor', 'helper', 'first_aid')),
    PRIMARY KEY (pattern_id, staff_id)
);
-- Which sessions were planned from a pattern; it goes with the pattern, the sessions stay.
CREATE TABLE pattern_sessions (
    session_id BIGINT NOT NULL PRIMARY KEY REFERENCES sessions (id),
    pattern_id BIGINT NOT NULL REFERENCES patterns (id)
);
CREATE INDEX pattern_sessions_by_pattern ON pattern_sessions (pattern_id);
