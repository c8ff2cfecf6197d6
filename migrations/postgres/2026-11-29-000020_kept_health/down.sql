DROP TABLE kept_health;
