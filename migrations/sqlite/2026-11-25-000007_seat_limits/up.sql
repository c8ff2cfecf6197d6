-- The limits that stood when a session was planned, each in riders or as the numbers that make it up.
CREATE TABLE seat_limits (
    session_id BIGINT NOT NULL PRIMARY KEY REFERENCES sessions (id),
    site BIGINT NOT NULL,
    instructors BIGINT NOT NULL,
    riders_per_instructor BIGINT NOT NULL,
    machines BIGINT NOT NULL,
    helmets BIGINT NOT NULL,
    choice BIGINT
);
