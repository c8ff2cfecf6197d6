DROP TABLE incident_photos;
DROP TABLE incident_addenda;
DROP TABLE incidents;
ALTER TABLE programs DROP COLUMN last_case;
DELETE FROM acts WHERE kind IN ('near_miss', 'incident');
DELETE FROM act_kinds WHERE word IN ('near_miss', 'incident');
