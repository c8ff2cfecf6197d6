-- Families that came in a spreadsheet file: the file while it is looked at, sealed, and what was made of it.
CREATE TABLE imports (
    id INTEGER PRIMARY KEY,
    reference TEXT NOT NULL CONSTRAINT imports_reference_once UNIQUE,
    account_id BIGINT NOT NULL REFERENCES accounts (id),
    name TEXT NOT NULL,
    row_key BLOB NOT NULL,
    body BLOB,
    meanings TEXT,
    day_order TEXT NOT NULL CONSTRAINT imports_day_order CHECK (day_order IN ('month_first', 'day_first')),
    county TEXT,
    made_at TIMESTAMP NOT NULL,
    done_at TIMESTAMP,
    undone_at TIMESTAMP,
    families BIGINT NOT NULL DEFAULT 0,
    children BIGINT NOT NULL DEFAULT 0
);
CREATE INDEX imports_by_account ON imports (account_id);

-- What an import added, so that it can be taken back.
CREATE TABLE imported_riders (
    rider_id BIGINT NOT NULL PRIMARY KEY REFERENCES riders (id) ON DELETE CASCADE,
    import_id BIGINT NOT NULL REFERENCES imports (id) ON DELETE CASCADE
);
CREATE INDEX imported_riders_by_import ON imported_riders (import_id);
CREATE TABLE imported_guardians (
    guardian_id BIGINT NOT NULL PRIMARY KEY REFERENCES guardians (id) ON DELETE CASCADE,
    import_id BIGINT NOT NULL REFERENCES imports (id) ON DELETE CASCADE
);
CREATE INDEX imported_guardians_by_import ON imported_guardians (import_id);

-- What the office said a column means, by the words of its heading, for the next file.
CREATE TABLE import_headings (
    heading TEXT NOT NULL PRIMARY KEY,
    meaning TEXT NOT NULL
);
