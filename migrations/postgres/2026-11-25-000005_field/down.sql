DROP TABLE certificates;
DROP TABLE files;
DROP TABLE gear_issues;
DROP TABLE gear_lots;
DROP TABLE grants;
DROP TABLE acts;
DROP TABLE machines;
