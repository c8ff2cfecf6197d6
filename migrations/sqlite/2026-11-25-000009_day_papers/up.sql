-- Papers of a site with their dates; which kinds block a session is a setting of the program.
CREATE TABLE site_paper_kinds (word TEXT NOT NULL PRIMARY KEY);
INSERT INTO site_paper_kinds (word) VALUES ('owner_permission'), ('insurance'), ('use_permit');
CREATE TABLE site_papers (
    id INTEGER PRIMARY KEY,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    kind TEXT NOT NULL REFERENCES site_paper_kinds (word),
    valid_from DATE NOT NULL,
    valid_through DATE NOT NULL,
    taken_back_on DATE,
    CONSTRAINT site_papers_order CHECK (valid_from <= valid_through)
);
CREATE INDEX site_papers_by_site ON site_papers (site_id);
-- One a site. The version rises with each change, so that a lead signs the very plan that was read.
CREATE TABLE emergency_plans (
    site_id BIGINT NOT NULL PRIMARY KEY REFERENCES sites (id),
    version BIGINT NOT NULL,
    signal_spot TEXT NOT NULL,
    device TEXT NOT NULL,
    gate_code TEXT NOT NULL,
    landing_place TEXT NOT NULL,
    meets_ambulance TEXT NOT NULL,
    changed_at TIMESTAMP NOT NULL
);
-- What is looked at before the first engine, by version: a session keeps the list it was announced with.
CREATE TABLE day_lists (
    id INTEGER PRIMARY KEY,
    version BIGINT NOT NULL,
    starts_on DATE NOT NULL,
    body TEXT NOT NULL,
    added_at TIMESTAMP NOT NULL,
    CONSTRAINT day_lists_version_once UNIQUE (version)
);
CREATE TABLE session_day_lists (
    session_id BIGINT NOT NULL PRIMARY KEY REFERENCES sessions (id),
    day_list_id BIGINT NOT NULL REFERENCES day_lists (id)
);
INSERT INTO act_kinds (word) VALUES ('day_list'), ('group');
