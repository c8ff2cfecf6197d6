ALTER TABLE programs DROP COLUMN revision;
DROP TABLE rule_drafts;
