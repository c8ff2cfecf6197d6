DROP TABLE job_leases;
DROP TABLE outbox;
DROP TABLE audit_seals;
DROP TABLE audit_rows;
DROP TABLE month_sums;
DROP TABLE rider_facts;
DROP TABLE session_facts;
