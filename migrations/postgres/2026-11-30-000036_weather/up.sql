INSERT INTO act_kinds (word) VALUES ('weather'), ('thunder'), ('weather_call');
