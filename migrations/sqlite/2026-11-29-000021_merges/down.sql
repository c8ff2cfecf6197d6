DROP TABLE children_apart;
DROP TABLE merged_ties;
DROP TABLE merged_measures;
DROP TABLE merged_registrations;
DROP TABLE merges;
