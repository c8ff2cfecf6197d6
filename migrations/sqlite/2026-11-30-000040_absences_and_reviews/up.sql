-- Days on which somebody of the staff is away, as the person says.
CREATE TABLE staff_absences (
    id INTEGER PRIMARY KEY,
    staff_id BIGINT NOT NULL REFERENCES staff (id),
    from_on DATE NOT NULL,
    through_on DATE NOT NULL,
    at TIMESTAMP NOT NULL,
    CONSTRAINT staff_absences_order CHECK (through_on >= from_on)
);
CREATE INDEX staff_absences_by_staff ON staff_absences (staff_id);
-- When an administrator last looked a book of rules or a consent text over and left it as it stands.
CREATE TABLE rule_reviews (
    book TEXT PRIMARY KEY,
    looked_on DATE NOT NULL,
    account_id BIGINT NOT NULL REFERENCES accounts (id)
);
