-- The figures of a span, after span.sql: $5 county set, $6 state. Different riders are counted here, over the whole
-- period: they are never added up.
SELECT
    (SELECT COUNT(*) FROM held) AS sessions,
    CAST(COALESCE(SUM(f.participated), 0) AS BIGINT) AS participations,
    COUNT(DISTINCT CASE WHEN f.participated = 1 THEN f.rider_key END) AS riders,
    CAST(COALESCE(SUM(f.completed), 0) AS BIGINT) AS completions,
    CAST(COALESCE(SUM(f.helmets), 0) AS BIGINT) AS helmets,
    COUNT(CASE WHEN f.outcome = 'turned_away' THEN 1 END) AS turned_away,
    COUNT(CASE WHEN f.outcome = 'absent' THEN 1 END) AS absent,
    COUNT(DISTINCT CASE WHEN f.participated = 1 AND s.fips IS NOT NULL THEN f.site_county END) AS counties_by_site,
    COUNT(DISTINCT CASE WHEN f.participated = 1 AND h.fips IS NOT NULL THEN f.home_county END) AS counties_by_home,
    (SELECT COUNT(*) FROM counties WHERE county_set = $5 AND state_fips = $6) AS counties_in_state
FROM riders f
LEFT JOIN counties s ON s.county_set = $5 AND s.state_fips = $6 AND s.fips = f.site_county
LEFT JOIN counties h ON h.county_set = $5 AND h.state_fips = $6 AND h.fips = f.home_county
