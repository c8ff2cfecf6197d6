-- Helmets by grant, after span.sql.
SELECT
    g.code AS code,
    g.name AS name,
    g.starts_on AS starts_on,
    g.ends_on AS ends_on,
    g.helmets_target AS target,
    CAST(COALESCE(SUM(f.helmets), 0) AS BIGINT) AS given
FROM grants g
LEFT JOIN riders f ON f.grant_id = g.id
WHERE $4 = '' OR g.code = $4
GROUP BY g.id, g.code, g.name, g.starts_on, g.ends_on, g.helmets_target
ORDER BY g.code
