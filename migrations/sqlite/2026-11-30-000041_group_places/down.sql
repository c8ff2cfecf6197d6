DELETE FROM acts WHERE kind = 'group_place';
DELETE FROM act_kinds WHERE word = 'group_place';
