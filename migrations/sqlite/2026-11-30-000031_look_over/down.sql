ALTER TABLE machine_defects DROP COLUMN by_mistake;
DELETE FROM acts WHERE kind IN ('look_over', 'fault', 'assign');
DELETE FROM act_kinds WHERE word IN ('look_over', 'fault', 'assign');
CREATE TABLE day_lists (
    id INTEGER PRIMARY KEY,
    version BIGINT NOT NULL,
    starts_on DATE NOT NULL,
    body TEXT NOT NULL,
    added_at TIMESTAMP NOT NULL,
    CONSTRAINT day_lists_version_once UNIQUE (version)
);
INSERT INTO day_lists (version, starts_on, body, added_at)
    SELECT version, starts_on, body, added_at FROM point_lists WHERE kind = 'day_list' ORDER BY id;
CREATE TABLE session_day_lists (
    session_id BIGINT NOT NULL PRIMARY KEY REFERENCES sessions (id),
    day_list_id BIGINT NOT NULL REFERENCES day_lists (id)
);
INSERT INTO session_day_lists (session_id, day_list_id)
    SELECT session_point_lists.session_id, day_lists.id
    FROM session_point_lists
    JOIN point_lists ON point_lists.id = session_point_lists.point_list_id
    JOIN day_lists ON day_lists.version = point_lists.version
    WHERE session_point_lists.kind = 'day_list';
DROP TABLE session_point_lists;
DROP TABLE point_lists;
