-- Helmets by grant: $1 first day, $2 last day of the period.
SELECT
    g.code AS code,
    g.name AS name,
    g.starts_on AS starts_on,
    g.ends_on AS ends_on,
    g.helmets_target AS target,
    CAST(COALESCE(SUM(f.helmets), 0) AS BIGINT) AS given
FROM grants g
LEFT JOIN rider_facts f ON f.grant_id = g.id AND f.held_on BETWEEN $1 AND $2
GROUP BY g.id, g.code, g.name, g.starts_on, g.ends_on, g.helmets_target
ORDER BY g.code
