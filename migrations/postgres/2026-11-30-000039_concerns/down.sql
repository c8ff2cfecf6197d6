DROP TABLE concern_notes;
DROP TABLE concerns;
DROP TABLE concern_readers;
