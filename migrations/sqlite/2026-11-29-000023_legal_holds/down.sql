DROP TABLE legal_holds;
