CREATE TABLE point_lists_after AS SELECT * FROM point_lists WHERE kind <> 'helmet_check';
CREATE TABLE session_point_lists_after AS
    SELECT session_point_lists.session_id, session_point_lists.kind, point_lists.version
    FROM session_point_lists
    JOIN point_lists ON point_lists.id = session_point_lists.point_list_id
    WHERE session_point_lists.kind <> 'helmet_check';
DROP TABLE session_point_lists;
DROP TABLE point_lists;
DROP TABLE point_list_kinds;
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
    SELECT kind, version, starts_on, body, added_at FROM point_lists_after ORDER BY id;
CREATE TABLE session_point_lists (
    session_id BIGINT NOT NULL REFERENCES sessions (id),
    kind TEXT NOT NULL CONSTRAINT session_point_lists_kind CHECK (kind IN ('day_list', 'look_over')),
    point_list_id BIGINT NOT NULL REFERENCES point_lists (id),
    PRIMARY KEY (session_id, kind)
);
INSERT INTO session_point_lists (session_id, kind, point_list_id)
    SELECT session_point_lists_after.session_id, point_lists.kind, point_lists.id
    FROM session_point_lists_after
    JOIN point_lists ON point_lists.kind = session_point_lists_after.kind
        AND point_lists.version = session_point_lists_after.version;
DROP TABLE session_point_lists_after;
DROP TABLE point_lists_after;
