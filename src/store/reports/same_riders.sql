-- The pseudonyms of one page of different riders, after span.sql, in the order in which they first took part: $5 how
-- many, $6 after how many.
SELECT rider_key
FROM riders
WHERE participated = 1
GROUP BY rider_key
ORDER BY MIN(held_on), MIN(registration_ref), rider_key
LIMIT $5 OFFSET $6
