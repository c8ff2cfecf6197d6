DELETE FROM act_kinds WHERE word IN ('day_list', 'group');
DROP TABLE session_day_lists;
DROP TABLE day_lists;
DROP TABLE emergency_plans;
DROP TABLE site_papers;
DROP TABLE site_paper_kinds;
