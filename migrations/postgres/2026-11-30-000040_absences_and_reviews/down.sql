DROP TABLE rule_reviews;
DROP TABLE staff_absences;
