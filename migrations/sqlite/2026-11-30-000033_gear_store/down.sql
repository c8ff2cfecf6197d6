DELETE FROM acts WHERE kind IN ('helmet_check', 'helmet_back', 'receipt');
DELETE FROM act_kinds WHERE word IN ('helmet_check', 'helmet_back', 'receipt');
CREATE TABLE gear_lots_after AS
    SELECT gear_lots.*,
        (SELECT COALESCE(sum(gear_stock.count), 0) FROM gear_stock WHERE gear_stock.lot_id = gear_lots.id)
        + (SELECT COALESCE(sum(gear_loads.count), 0) FROM gear_loads WHERE gear_loads.lot_id = gear_lots.id) AS on_hand
    FROM gear_lots;
CREATE TABLE gear_issues_after AS
    SELECT gear_issues.*, gear_lots.code AS lot_code
    FROM gear_issues
    JOIN gear_lots ON gear_lots.id = gear_issues.lot_id
    WHERE gear_issues.returned_at IS NULL;
DROP TABLE gear_moves;
DROP TABLE gear_issues;
DROP TABLE gear_loads;
DROP TABLE gear_stock;
DROP TABLE gear_lots;
CREATE TABLE gear_lots (
    id INTEGER PRIMARY KEY,
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
    on_hand BIGINT NOT NULL,
    CONSTRAINT gear_lots_never_negative CHECK (on_hand >= 0 AND on_hand <= received),
    CONSTRAINT gear_lots_range CHECK (least_head_um <= most_head_um)
);
INSERT INTO gear_lots (code, grant_id, model, size_label, least_head_um, most_head_um, standard, made_month, unit_cost_cents,
        received, on_hand)
    SELECT code, grant_id, model, size_label, least_head_um, most_head_um, standard, made_month, unit_cost_cents,
        received, CASE WHEN on_hand > received THEN received ELSE on_hand END
    FROM gear_lots_after ORDER BY id;
CREATE TABLE gear_issues (
    id INTEGER PRIMARY KEY,
    lot_id BIGINT NOT NULL REFERENCES gear_lots (id),
    registration_id BIGINT NOT NULL REFERENCES registrations (id),
    act_id BLOB NOT NULL CONSTRAINT gear_issues_act_once UNIQUE REFERENCES acts (act_id),
    way TEXT NOT NULL CONSTRAINT gear_issues_way CHECK (way IN ('lent', 'given')),
    issued_at TIMESTAMP NOT NULL,
    returned_at TIMESTAMP,
    CONSTRAINT gear_issues_rider_once UNIQUE (registration_id, way)
);
INSERT INTO gear_issues (lot_id, registration_id, act_id, way, issued_at)
    SELECT gear_lots.id, gear_issues_after.registration_id, gear_issues_after.act_id, gear_issues_after.way,
        gear_issues_after.issued_at
    FROM gear_issues_after
    JOIN gear_lots ON gear_lots.code = gear_issues_after.lot_code
    ORDER BY gear_issues_after.id;
DROP TABLE gear_issues_after;
DROP TABLE gear_lots_after;
