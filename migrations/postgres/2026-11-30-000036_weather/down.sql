DELETE FROM acts WHERE kind IN ('weather', 'thunder', 'weather_call');
DELETE FROM act_kinds WHERE word IN ('weather', 'thunder', 'weather_call');
