-- One word a sealed row, `id:first half of its hash`, so that a broken seal can name the row.
ALTER TABLE audit_seals ADD COLUMN marks TEXT NOT NULL DEFAULT '';
