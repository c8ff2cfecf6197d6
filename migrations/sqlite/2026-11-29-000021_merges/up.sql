-- A child that was entered twice: one entry stays, the other goes into it. What went is kept here, so that it can be undone.
CREATE TABLE merges (
    id INTEGER PRIMARY KEY,
    stays_id BIGINT NOT NULL REFERENCES riders (id),
    goes_id BIGINT NOT NULL REFERENCES riders (id),
    at TIMESTAMP NOT NULL,
    undone_at TIMESTAMP
);
CREATE INDEX merges_by_stays ON merges (stays_id);
CREATE INDEX merges_by_goes ON merges (goes_id);
CREATE TABLE merged_registrations (
    merge_id BIGINT NOT NULL REFERENCES merges (id),
    registration_id BIGINT NOT NULL REFERENCES registrations (id),
    PRIMARY KEY (merge_id, registration_id)
);
CREATE INDEX merged_registrations_by_registration ON merged_registrations (registration_id);
CREATE TABLE merged_measures (
    merge_id BIGINT NOT NULL REFERENCES merges (id),
    measure_id BIGINT NOT NULL REFERENCES measures (id),
    PRIMARY KEY (merge_id, measure_id)
);
CREATE INDEX merged_measures_by_measure ON merged_measures (measure_id);
-- How each adult stood to the two entries before, and to the child afterwards.
CREATE TABLE merged_ties (
    merge_id BIGINT NOT NULL REFERENCES merges (id),
    guardian_id BIGINT NOT NULL REFERENCES guardians (id),
    stays_state TEXT CONSTRAINT merged_ties_stays CHECK (stays_state IN ('active', 'restricted', 'revoked')),
    stays_since TIMESTAMP,
    stays_note TEXT,
    goes_state TEXT CONSTRAINT merged_ties_goes CHECK (goes_state IN ('active', 'restricted', 'revoked')),
    goes_since TIMESTAMP,
    goes_note TEXT,
    state TEXT NOT NULL CONSTRAINT merged_ties_state CHECK (state IN ('active', 'restricted', 'revoked')),
    PRIMARY KEY (merge_id, guardian_id)
);
-- Children who look like one and are two, the older row first.
CREATE TABLE children_apart (
    one_id BIGINT NOT NULL REFERENCES riders (id),
    other_id BIGINT NOT NULL REFERENCES riders (id),
    at TIMESTAMP NOT NULL,
    PRIMARY KEY (one_id, other_id),
    CONSTRAINT children_apart_order CHECK (one_id < other_id)
);
CREATE INDEX children_apart_by_other ON children_apart (other_id);
