-- The words of a name as they are looked for, a space before each: lower case, without accents. The program writes them.
ALTER TABLE guardians ADD COLUMN words TEXT;
ALTER TABLE riders ADD COLUMN words TEXT;

-- Since when an entry has been compared with the others; none while it is yet to be, since it or an adult of it is new here
-- or changed.
ALTER TABLE riders ADD COLUMN compared_at TIMESTAMP;
CREATE INDEX riders_to_compare ON riders (id) WHERE compared_at IS NULL;
CREATE INDEX riders_by_birth_date ON riders (birth_date);
CREATE INDEX guardians_by_phone ON guardians (phone);
CREATE INDEX guardians_by_email ON guardians (email);

-- Two entries that may be one child, the older row first.
CREATE TABLE children_alike (
    one_id BIGINT NOT NULL REFERENCES riders (id),
    other_id BIGINT NOT NULL REFERENCES riders (id),
    PRIMARY KEY (one_id, other_id)
);
CREATE INDEX children_alike_by_other ON children_alike (other_id);

CREATE INDEX measures_by_registration ON measures (registration_id);
