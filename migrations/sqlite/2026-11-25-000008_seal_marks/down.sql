ALTER TABLE audit_seals DROP COLUMN marks;
