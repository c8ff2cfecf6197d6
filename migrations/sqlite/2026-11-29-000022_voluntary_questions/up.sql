-- What a program asks families and nobody has to answer. Choices are a JSON list of texts in both languages. The words of a
-- question never change, because its answers are about them.
CREATE TABLE voluntary_questions (
    id INTEGER PRIMARY KEY,
    reference TEXT NOT NULL CONSTRAINT voluntary_questions_reference_once UNIQUE,
    words_en TEXT NOT NULL,
    words_es TEXT NOT NULL,
    choices TEXT NOT NULL,
    created_at TIMESTAMP NOT NULL,
    ended_at TIMESTAMP
);
-- The number of the choice from 1; none when the family had rather not answer.
CREATE TABLE voluntary_answers (
    registration_id BIGINT NOT NULL REFERENCES registrations (id),
    question_id BIGINT NOT NULL REFERENCES voluntary_questions (id),
    choice BIGINT,
    PRIMARY KEY (registration_id, question_id)
);
CREATE INDEX voluntary_answers_by_question ON voluntary_answers (question_id);
