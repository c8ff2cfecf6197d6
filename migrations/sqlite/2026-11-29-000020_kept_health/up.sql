-- Health answers that a family keeps for its child's next registration, by its own choice. Sealed: key version, nonce,
-- ciphertext. The row key was drawn before the insert and is bound into the seal.
CREATE TABLE kept_health (
    rider_id BIGINT NOT NULL PRIMARY KEY REFERENCES riders (id),
    row_key BLOB NOT NULL,
    body BLOB NOT NULL,
    kept_at TIMESTAMP NOT NULL
);
