-- Where the helmets of each lot are, and everything that happened to them. A place that keeps them there always is.
INSERT INTO storage_places (name, kind) SELECT 'Store', 'store' WHERE NOT EXISTS (SELECT 1 FROM storage_places);

CREATE TABLE gear_lots_before AS SELECT * FROM gear_lots;
CREATE TABLE gear_issues_before AS
    SELECT gear_issues.*, gear_lots.code AS lot_code
    FROM gear_issues
    JOIN gear_lots ON gear_lots.id = gear_issues.lot_id;
DROP TABLE gear_issues;
DROP TABLE gear_lots;

-- Its reference names a lot in addresses; only staff can open one, so that one of before needs no chance in it.
CREATE TABLE gear_lots (
    id INTEGER PRIMARY KEY,
    reference TEXT NOT NULL CONSTRAINT gear_lots_reference_once UNIQUE,
    code TEXT NOT NULL CONSTRAINT gear_lots_code_once UNIQUE,
    grant_id BIGINT NOT NULL REFERENCES grants (id),
    model TEXT NOT NULL,
    size_label TEXT NOT NULL,
    least_head_um BIGINT NOT NULL,
    most_head_um BIGINT NOT NULL,
    standard TEXT NOT NULL,
    made_month DATE NOT NULL,
    unit_cost_cents BIGINT NOT NULL CONSTRAINT gear_lots_cost CHECK (unit_cost_cents >= 0),
    received BIGINT NOT NULL,
    received_on DATE,
    CONSTRAINT gear_lots_range CHECK (least_head_um <= most_head_um)
);
INSERT INTO gear_lots (reference, code, grant_id, model, size_label, least_head_um, most_head_um, standard, made_month,
        unit_cost_cents, received)
    SELECT 'l' || id, code, grant_id, model, size_label, least_head_um, most_head_um, standard, made_month,
        unit_cost_cents, received
    FROM gear_lots_before ORDER BY id;

-- Helmets on the shelf of a place.
CREATE TABLE gear_stock (
    lot_id BIGINT NOT NULL REFERENCES gear_lots (id),
    place_id BIGINT NOT NULL REFERENCES storage_places (id),
    count BIGINT NOT NULL CONSTRAINT gear_stock_never_negative CHECK (count >= 0),
    PRIMARY KEY (lot_id, place_id)
);
INSERT INTO gear_stock (lot_id, place_id, count)
    SELECT gear_lots.id, (SELECT min(id) FROM storage_places), gear_lots_before.on_hand
    FROM gear_lots_before
    JOIN gear_lots ON gear_lots.code = gear_lots_before.code
    WHERE gear_lots_before.on_hand > 0;

-- Helmets that are out with a session.
CREATE TABLE gear_loads (
    session_id BIGINT NOT NULL REFERENCES sessions (id),
    lot_id BIGINT NOT NULL REFERENCES gear_lots (id),
    count BIGINT NOT NULL CONSTRAINT gear_loads_never_negative CHECK (count >= 0),
    PRIMARY KEY (session_id, lot_id)
);

-- A helmet that went to a rider: from the shelf of a place, or from what is out with the session.
CREATE TABLE gear_issues (
    id INTEGER PRIMARY KEY,
    lot_id BIGINT NOT NULL REFERENCES gear_lots (id),
    registration_id BIGINT NOT NULL REFERENCES registrations (id),
    act_id BLOB NOT NULL CONSTRAINT gear_issues_act_once UNIQUE REFERENCES acts (act_id),
    way TEXT NOT NULL CONSTRAINT gear_issues_way CHECK (way IN ('lent', 'given')),
    issued_at TIMESTAMP NOT NULL,
    place_id BIGINT REFERENCES storage_places (id),
    returned_at TIMESTAMP,
    came_back TEXT CONSTRAINT gear_issues_came_back CHECK (came_back IN ('in_order', 'damaged', 'lost')),
    CONSTRAINT gear_issues_ended CHECK ((returned_at IS NULL) = (came_back IS NULL))
);
CREATE UNIQUE INDEX gear_issues_open_once ON gear_issues (registration_id, way) WHERE returned_at IS NULL;
CREATE INDEX gear_issues_by_lot ON gear_issues (lot_id);
INSERT INTO gear_issues (lot_id, registration_id, act_id, way, issued_at, place_id)
    SELECT gear_lots.id, gear_issues_before.registration_id, gear_issues_before.act_id, gear_issues_before.way,
        gear_issues_before.issued_at, (SELECT min(id) FROM storage_places)
    FROM gear_issues_before
    JOIN gear_lots ON gear_lots.code = gear_issues_before.lot_code
    ORDER BY gear_issues_before.id;

-- What happened to the helmets of a lot; rows are only added. Nobody noted when those of before were received.
CREATE TABLE gear_moves (
    id INTEGER PRIMARY KEY,
    lot_id BIGINT NOT NULL REFERENCES gear_lots (id),
    kind TEXT NOT NULL CONSTRAINT gear_moves_kind CHECK (kind IN ('received', 'moved', 'loaded', 'unloaded', 'lent', 'given',
        'returned', 'taken_back', 'retired', 'lost', 'found', 'missing', 'counted')),
    count BIGINT NOT NULL CONSTRAINT gear_moves_count CHECK (count >= 0),
    from_place_id BIGINT REFERENCES storage_places (id),
    to_place_id BIGINT REFERENCES storage_places (id),
    session_id BIGINT REFERENCES sessions (id),
    note TEXT NOT NULL,
    at TIMESTAMP,
    account_id BIGINT REFERENCES accounts (id)
);
CREATE INDEX gear_moves_by_lot ON gear_moves (lot_id);
INSERT INTO gear_moves (lot_id, kind, count, to_place_id, note)
    SELECT id, 'received', received, (SELECT min(id) FROM storage_places), '' FROM gear_lots ORDER BY id;
INSERT INTO gear_moves (lot_id, kind, count, from_place_id, session_id, note, at)
    SELECT gear_issues.lot_id, gear_issues.way, 1, gear_issues.place_id, registrations.session_id, '', gear_issues.issued_at
    FROM gear_issues
    JOIN registrations ON registrations.id = gear_issues.registration_id
    ORDER BY gear_issues.id;
DROP TABLE gear_issues_before;
DROP TABLE gear_lots_before;

-- The helmet on the head was checked; a lent one came back; an adult signed for one.
INSERT INTO act_kinds (word) VALUES ('helmet_check'), ('helmet_back'), ('receipt');
