-- Sessions of which nothing is removed, whatever its age, because a claim or a question is open.
CREATE TABLE legal_holds (
    id INTEGER PRIMARY KEY,
    session_id BIGINT NOT NULL REFERENCES sessions (id),
    note TEXT NOT NULL,
    at TIMESTAMP NOT NULL,
    ended_at TIMESTAMP
);
CREATE INDEX legal_holds_by_session ON legal_holds (session_id);
