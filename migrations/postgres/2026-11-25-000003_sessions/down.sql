DROP TABLE session_staff;
DROP TABLE meetings;
DROP TABLE sessions;
DROP TABLE sites;
DROP TABLE courses;
