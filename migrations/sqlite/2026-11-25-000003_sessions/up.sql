CREATE TABLE courses (
    id INTEGER PRIMARY KEY,
    code TEXT NOT NULL CONSTRAINT courses_code_once UNIQUE,
    title_en TEXT NOT NULL,
    title_es TEXT NOT NULL,
    least_age BIGINT NOT NULL,
    most_age BIGINT NOT NULL,
    riders_per_instructor BIGINT NOT NULL CONSTRAINT courses_ratio CHECK (riders_per_instructor > 0),
    least_age_certificate BIGINT NOT NULL,
    CONSTRAINT courses_ages CHECK (least_age <= most_age)
);
CREATE TABLE sites (
    id INTEGER PRIMARY KEY,
    reference TEXT NOT NULL CONSTRAINT sites_reference_once UNIQUE,
    name TEXT NOT NULL,
    street TEXT NOT NULL,
    city TEXT NOT NULL,
    zip TEXT NOT NULL,
    county_set BIGINT NOT NULL,
    county TEXT NOT NULL,
    time_zone TEXT NOT NULL,
    latitude DOUBLE,
    longitude DOUBLE,
    most_riders BIGINT NOT NULL CONSTRAINT sites_most_riders CHECK (most_riders > 0),
    hospital TEXT NOT NULL,
    emergency_notes TEXT NOT NULL,
    directions TEXT NOT NULL,
    CONSTRAINT sites_county FOREIGN KEY (county_set, county) REFERENCES counties (county_set, fips)
);
-- Held and offered places count in seats_taken. The check holds on both engines whatever the code does.
CREATE TABLE sessions (
    id INTEGER PRIMARY KEY,
    reference TEXT NOT NULL CONSTRAINT sessions_reference_once UNIQUE,
    course_id BIGINT NOT NULL REFERENCES courses (id),
    site_id BIGINT NOT NULL REFERENCES sites (id),
    language TEXT NOT NULL CONSTRAINT sessions_language CHECK (language IN ('en', 'es')),
    state TEXT NOT NULL REFERENCES session_states (word),
    capacity BIGINT NOT NULL,
    binding_limit TEXT NOT NULL,
    seats_taken BIGINT NOT NULL,
    waiting BIGINT NOT NULL,
    last_place BIGINT NOT NULL,
    last_counter BIGINT NOT NULL,
    curriculum_id BIGINT NOT NULL REFERENCES rulebooks (id),
    fit_id BIGINT NOT NULL REFERENCES rulebooks (id),
    cautions_id BIGINT NOT NULL REFERENCES rulebooks (id),
    held_on DATE NOT NULL,
    created_at TIMESTAMP NOT NULL,
    closed_at TIMESTAMP,
    CONSTRAINT sessions_seats CHECK (seats_taken >= 0 AND seats_taken <= capacity),
    CONSTRAINT sessions_waiting CHECK (waiting >= 0)
);
CREATE INDEX sessions_by_day ON sessions (held_on);
-- A local time is text and a zone name; starts_at is the instant worked out from them.
CREATE TABLE meetings (
    id INTEGER PRIMARY KEY,
    session_id BIGINT NOT NULL REFERENCES sessions (id),
    ordinal BIGINT NOT NULL,
    local_start TEXT NOT NULL,
    zone TEXT NOT NULL,
    minutes BIGINT NOT NULL CONSTRAINT meetings_length CHECK (minutes > 0),
    starts_at TIMESTAMP NOT NULL,
    CONSTRAINT meetings_ordinal_once UNIQUE (session_id, ordinal)
);
CREATE TABLE session_staff (
    session_id BIGINT NOT NULL REFERENCES sessions (id),
    staff_id BIGINT NOT NULL REFERENCES staff (id),
    duty TEXT NOT NULL CONSTRAINT session_staff_duty CHECK (duty IN ('lead', 'instructor', 'helper', 'first_aid')),
    PRIMARY KEY (session_id, staff_id)
);
CREATE INDEX session_staff_by_staff ON session_staff (staff_id);
