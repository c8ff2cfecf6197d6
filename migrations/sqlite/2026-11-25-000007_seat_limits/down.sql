DROP TABLE seat_limits;
