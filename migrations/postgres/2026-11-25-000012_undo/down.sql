DELETE FROM acts WHERE kind = 'undo';
DELETE FROM act_kinds WHERE word = 'undo';
