DROP TABLE pattern_sessions;
DROP TABLE pattern_staff;
DROP TABLE pattern_meetings;
DROP TABLE patterns;
DROP TABLE tellings;
DROP TABLE session_changes;
DROP TABLE change_reasons;
ALTER TABLE sessions DROP COLUMN revision;
