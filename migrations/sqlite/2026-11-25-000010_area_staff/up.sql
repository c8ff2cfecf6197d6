-- Acts about the riding area: adults come and leave, the lead goes on with a reason, the lead is handed over.
INSERT INTO act_kinds (word) VALUES ('area'), ('go_on'), ('hand_over');
