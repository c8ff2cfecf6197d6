DROP TABLE import_headings;
DROP TABLE imported_guardians;
DROP TABLE imported_riders;
DROP TABLE imports;
