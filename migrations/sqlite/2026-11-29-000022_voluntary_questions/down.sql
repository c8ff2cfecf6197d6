DROP TABLE voluntary_answers;
DROP TABLE voluntary_questions;
