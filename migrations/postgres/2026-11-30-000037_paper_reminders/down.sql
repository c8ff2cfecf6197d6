DROP TABLE paper_reminders;
