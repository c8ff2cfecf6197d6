-- An act that names another and takes it back. Both rows stay.
INSERT INTO act_kinds (word) VALUES ('undo');
