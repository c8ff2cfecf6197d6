-- Lists of points of every kind in one table: what is looked at on the area, and what on each machine before it is ridden.
CREATE TABLE point_lists (
    id INTEGER PRIMARY KEY,
    kind TEXT NOT NULL CONSTRAINT point_lists_kind CHECK (kind IN ('day_list', 'look_over')),
    version BIGINT NOT NULL,
    starts_on DATE NOT NULL,
    body TEXT NOT NULL,
    added_at TIMESTAMP NOT NULL,
    CONSTRAINT point_lists_version_once UNIQUE (kind, version)
);
INSERT INTO point_lists (kind, version, starts_on, body, added_at)
    SELECT 'day_list', version, starts_on, body, added_at FROM day_lists ORDER BY id;

-- The versions that a session keeps.
CREATE TABLE session_point_lists (
    session_id BIGINT NOT NULL REFERENCES sessions (id),
    kind TEXT NOT NULL CONSTRAINT session_point_lists_kind CHECK (kind IN ('day_list', 'look_over')),
    point_list_id BIGINT NOT NULL REFERENCES point_lists (id),
    PRIMARY KEY (session_id, kind)
);
INSERT INTO session_point_lists (session_id, kind, point_list_id)
    SELECT session_day_lists.session_id, point_lists.kind, point_lists.id
    FROM session_day_lists
    JOIN day_lists ON day_lists.id = session_day_lists.day_list_id
    JOIN point_lists ON point_lists.kind = 'day_list' AND point_lists.version = day_lists.version;
DROP TABLE session_day_lists;
DROP TABLE day_lists;

-- A machine was looked over before the ride; a fault of one was found during a session; a rider is to ride a machine.
INSERT INTO act_kinds (word) VALUES ('look_over'), ('fault'), ('assign');
-- A fault that was taken back within seconds asks for no new look at the machine.
ALTER TABLE machine_defects ADD COLUMN by_mistake BOOLEAN NOT NULL DEFAULT FALSE;
