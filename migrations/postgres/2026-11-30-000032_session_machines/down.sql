DROP TABLE session_machines;
