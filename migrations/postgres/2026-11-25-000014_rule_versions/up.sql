-- The one open draft of each book of rules and of each consent text. `revision` rises with each change, so that a form
-- opened before it is told; `previous` is the body before the last change, for undoing it.
CREATE TABLE rule_drafts (
    kind TEXT NOT NULL PRIMARY KEY,
    base_version BIGINT NOT NULL,
    body TEXT NOT NULL,
    previous TEXT,
    revision BIGINT NOT NULL,
    started_at TIMESTAMP NOT NULL,
    changed_at TIMESTAMP NOT NULL,
    changed_by BIGINT REFERENCES accounts (id)
);
ALTER TABLE programs ADD COLUMN revision BIGINT NOT NULL DEFAULT 1;
