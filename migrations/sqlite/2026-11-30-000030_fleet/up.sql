-- The record of a machine: its label and plate, how it is set, where it stands. Its reference names it in addresses and on
-- its tag; only staff can open either, so that one of before needs no chance in it.
ALTER TABLE machines ADD COLUMN reference TEXT NOT NULL DEFAULT '';
UPDATE machines SET reference = 'm' || id;
CREATE UNIQUE INDEX machines_by_reference ON machines (reference);
ALTER TABLE machines ADD COLUMN serial TEXT NOT NULL DEFAULT '';
ALTER TABLE machines ADD COLUMN seats TEXT
    CONSTRAINT machines_seats CHECK (seats IN ('one', 'passenger'));
ALTER TABLE machines ADD COLUMN label TEXT NOT NULL DEFAULT 'not_looked'
    CONSTRAINT machines_label CHECK (label IN ('there', 'missing', 'not_looked'));
ALTER TABLE machines ADD COLUMN limiter_set_on DATE;
ALTER TABLE machines ADD COLUMN limiter_set_by TEXT NOT NULL DEFAULT '';
ALTER TABLE machines ADD COLUMN tire_front_tenths_psi BIGINT;
ALTER TABLE machines ADD COLUMN tire_rear_tenths_psi BIGINT;
ALTER TABLE machines ADD COLUMN grip_to_lever_um BIGINT;
ALTER TABLE machines ADD COLUMN rest_to_pedal_um BIGINT;
ALTER TABLE machines ADD COLUMN hours_tenths BIGINT;

-- Where machines and gear are kept between sessions.
CREATE TABLE storage_places (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL CONSTRAINT storage_places_name_once UNIQUE,
    kind TEXT NOT NULL CONSTRAINT storage_places_kind CHECK (kind IN ('store', 'trailer'))
);
ALTER TABLE machines ADD COLUMN place_id BIGINT REFERENCES storage_places (id);

-- A fault that somebody found. While one is open the machine is out of use. Nobody found those of before this table.
CREATE TABLE machine_defects (
    id INTEGER PRIMARY KEY,
    machine_id BIGINT NOT NULL REFERENCES machines (id),
    ordinal BIGINT NOT NULL,
    what TEXT NOT NULL,
    found_at TIMESTAMP,
    found_by BIGINT REFERENCES accounts (id),
    mended_at TIMESTAMP,
    mended_by BIGINT REFERENCES accounts (id),
    note TEXT NOT NULL DEFAULT '',
    CONSTRAINT machine_defects_ordinal_once UNIQUE (machine_id, ordinal)
);
INSERT INTO machine_defects (machine_id, ordinal, what)
    SELECT id, 1, 'Out of use before faults were written down' FROM machines WHERE state = 'out_of_use';

-- What happened to a machine besides; rows are only added.
CREATE TABLE machine_events (
    id INTEGER PRIMARY KEY,
    machine_id BIGINT NOT NULL REFERENCES machines (id),
    kind TEXT NOT NULL CONSTRAINT machine_events_kind CHECK (kind IN
        ('added', 'changed', 'moved', 'hours', 'retired', 'returned')),
    detail TEXT NOT NULL,
    at TIMESTAMP NOT NULL,
    account_id BIGINT REFERENCES accounts (id)
);
CREATE INDEX machine_events_by_machine ON machine_events (machine_id);
