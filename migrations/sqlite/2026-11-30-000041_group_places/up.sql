INSERT INTO act_kinds (word) VALUES ('group_place');
