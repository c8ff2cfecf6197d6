-- What those who pay ask of the program: whose property, how much, when to report, and which child may get a helmet.
ALTER TABLE grants ADD COLUMN reference TEXT NOT NULL DEFAULT '';
UPDATE grants SET reference = 'g' || id;
CREATE UNIQUE INDEX grants_by_reference ON grants (reference);
ALTER TABLE grants ADD COLUMN payer TEXT NOT NULL DEFAULT '';
ALTER TABLE grants ADD COLUMN award TEXT NOT NULL DEFAULT '';
ALTER TABLE grants ADD COLUMN title_holder TEXT NOT NULL DEFAULT '';
ALTER TABLE grants ADD COLUMN federal_permille BIGINT;
ALTER TABLE grants ADD COLUMN budget_cents BIGINT;
ALTER TABLE grants ADD COLUMN match_cents BIGINT;
ALTER TABLE grants ADD COLUMN hour_cents BIGINT;
ALTER TABLE grants ADD COLUMN mile_tenth_cents BIGINT;
ALTER TABLE grants ADD COLUMN least_age BIGINT;
ALTER TABLE grants ADD COLUMN most_age BIGINT;
ALTER TABLE grants ADD COLUMN again_after_years BIGINT;

-- Counties in which a grant gives helmets; none stands for all.
CREATE TABLE grant_counties (
    grant_id BIGINT NOT NULL REFERENCES grants (id),
    county_set BIGINT NOT NULL,
    county TEXT NOT NULL,
    PRIMARY KEY (grant_id, county_set, county),
    CONSTRAINT grant_counties_known FOREIGN KEY (county_set, county) REFERENCES counties (county_set, fips)
);

-- Reports that a grant asks for.
CREATE TABLE grant_dues (
    id INTEGER PRIMARY KEY,
    grant_id BIGINT NOT NULL REFERENCES grants (id),
    due_on DATE NOT NULL,
    what TEXT NOT NULL,
    done_on DATE
);
CREATE INDEX grant_dues_by_grant ON grant_dues (grant_id);

-- What the program brings beside the grant: hours of volunteers, miles, money. The worth is that of the day it was written.
CREATE TABLE grant_matches (
    id INTEGER PRIMARY KEY,
    grant_id BIGINT NOT NULL REFERENCES grants (id),
    kind TEXT NOT NULL CONSTRAINT grant_matches_kind CHECK (kind IN ('hours', 'miles', 'money')),
    done_on DATE NOT NULL,
    tenths BIGINT NOT NULL CONSTRAINT grant_matches_tenths CHECK (tenths >= 0),
    worth_cents BIGINT NOT NULL CONSTRAINT grant_matches_worth CHECK (worth_cents >= 0),
    what TEXT NOT NULL,
    at TIMESTAMP NOT NULL,
    account_id BIGINT REFERENCES accounts (id),
    taken_back_at TIMESTAMP
);
CREATE INDEX grant_matches_by_grant ON grant_matches (grant_id);

-- A maker or an agency calls helmets back: nobody is handed one, and whoever has one is written to.
CREATE TABLE gear_recalls (
    id INTEGER PRIMARY KEY,
    reference TEXT NOT NULL CONSTRAINT gear_recalls_reference_once UNIQUE,
    model TEXT NOT NULL,
    lot_id BIGINT REFERENCES gear_lots (id),
    why TEXT NOT NULL,
    source TEXT NOT NULL,
    started_at TIMESTAMP NOT NULL,
    started_by BIGINT REFERENCES accounts (id),
    ended_at TIMESTAMP
);
CREATE TABLE recall_holders (
    id INTEGER PRIMARY KEY,
    recall_id BIGINT NOT NULL REFERENCES gear_recalls (id),
    issue_id BIGINT NOT NULL REFERENCES gear_issues (id),
    answer TEXT CONSTRAINT recall_holders_answer CHECK (answer IN ('stopped', 'handed_in', 'gone', 'not_reached')),
    answered_at TIMESTAMP,
    answered_by BIGINT REFERENCES accounts (id),
    CONSTRAINT recall_holders_once UNIQUE (recall_id, issue_id)
);
