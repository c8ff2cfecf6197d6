DROP TABLE certifications;
DROP TABLE staff;
DROP TABLE guardianships;
DROP TABLE riders;
DROP TABLE guardians;
DROP TABLE sign_ins;
DROP TABLE account_roles;
DROP TABLE accounts;
