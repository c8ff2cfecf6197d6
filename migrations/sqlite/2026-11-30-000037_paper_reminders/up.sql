CREATE TABLE paper_reminders (
    id INTEGER PRIMARY KEY,
    staff_id BIGINT NOT NULL REFERENCES staff (id),
    kind TEXT NOT NULL REFERENCES certification_kinds (word),
    valid_through DATE NOT NULL,
    days BIGINT NOT NULL CONSTRAINT paper_reminders_days CHECK (days > 0),
    at TIMESTAMP NOT NULL,
    CONSTRAINT paper_reminders_once UNIQUE (staff_id, kind, valid_through, days)
);
