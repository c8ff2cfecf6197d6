DROP TABLE request_keys;
DROP TABLE drafts;
DROP TABLE consents;
DROP TABLE measures;
DROP TABLE contacts;
DROP TABLE health_notes;
DROP TABLE registrations;
