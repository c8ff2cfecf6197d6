DELETE FROM acts WHERE kind IN ('area', 'go_on', 'hand_over');
DELETE FROM act_kinds WHERE word IN ('area', 'go_on', 'hand_over');
