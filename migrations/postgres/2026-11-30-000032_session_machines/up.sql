-- The machines that go to a session. That no machine is at two sites on one day is held by the booking itself, which
-- holds the machine's row while it looks at the others.
CREATE TABLE session_machines (
    session_id BIGINT NOT NULL REFERENCES sessions (id),
    machine_id BIGINT NOT NULL REFERENCES machines (id),
    PRIMARY KEY (session_id, machine_id)
);
CREATE INDEX session_machines_by_machine ON session_machines (machine_id);
