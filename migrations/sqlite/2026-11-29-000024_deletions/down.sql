DROP TABLE deletions;
