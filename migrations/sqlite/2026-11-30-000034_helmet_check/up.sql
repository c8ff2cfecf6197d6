-- A third kind of list: what is looked at on the helmet on a rider's head. A kind is a word of a table from here on.
CREATE TABLE point_list_kinds (
    word TEXT NOT NULL PRIMARY KEY
);
INSERT INTO point_list_kinds (word) VALUES ('day_list'), ('look_over'), ('helmet_check');
CREATE TABLE point_lists_before AS SELECT * FROM point_lists;
CREATE TABLE session_point_lists_before AS
    SELECT session_point_lists.session_id, session_point_lists.kind, point_lists.version
    FROM session_point_lists
    JOIN point_lists ON point_lists.id = session_point_lists.point_list_id;
DROP TABLE session_point_lists;
DROP TABLE point_lists;
CREATE TABLE point_lists (
    id INTEGER PRIMARY KEY,
    kind TEXT NOT NULL REFERENCES point_list_kinds (word),
    version BIGINT NOT NULL,
    starts_on DATE NOT NULL,
    body TEXT NOT NULL,
    added_at TIMESTAMP NOT NULL,
    CONSTRAINT point_lists_version_once UNIQUE (kind, version)
);
INSERT INTO point_lists (kind, version, starts_on, body, added_at)
    SELECT kind, version, starts_on, body, added_at FROM point_lists_before ORDER BY id;
CREATE TABLE session_point_lists (
    session_id BIGINT NOT NULL REFERENCES sessions (id),
    kind TEXT NOT NULL REFERENCES point_list_kinds (word),
    point_list_id BIGINT NOT NULL REFERENCES point_lists (id),
    PRIMARY KEY (session_id, kind)
);
INSERT INTO session_point_lists (session_id, kind, point_list_id)
    SELECT session_point_lists_before.session_id, point_lists.kind, point_lists.id
    FROM session_point_lists_before
    JOIN point_lists ON point_lists.kind = session_point_lists_before.kind
        AND point_lists.version = session_point_lists_before.version;
DROP TABLE session_point_lists_before;
DROP TABLE point_lists_before;
