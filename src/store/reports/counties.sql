-- Every county of the state, and any other that a fact of the span names, after span.sql: $5 county set, $6 state.
-- Sessions and `by_site` go by the county of the site, the other columns by the home.
, seen AS (
    SELECT site_county AS fips, COUNT(*) AS sessions
    FROM held
    GROUP BY site_county
),
sites AS (
    SELECT site_county AS fips, SUM(participated) AS took_part
    FROM riders
    GROUP BY site_county
),
homes AS (
    SELECT home_county AS fips, SUM(participated) AS took_part, SUM(completed) AS completed, SUM(helmets) AS helmets
    FROM riders
    GROUP BY home_county
),
codes AS (
    SELECT fips FROM counties WHERE county_set = $5 AND state_fips = $6
    UNION SELECT fips FROM seen
    UNION SELECT fips FROM sites
    UNION SELECT fips FROM homes WHERE took_part > 0 OR helmets > 0
)
SELECT
    codes.fips AS fips,
    COALESCE(named.name, '') AS name,
    COALESCE(named.state_fips, '') AS state_fips,
    CAST(COALESCE(seen.sessions, 0) AS BIGINT) AS sessions,
    CAST(COALESCE(sites.took_part, 0) AS BIGINT) AS by_site,
    CAST(COALESCE(homes.took_part, 0) AS BIGINT) AS by_home,
    CAST(COALESCE(homes.completed, 0) AS BIGINT) AS completions,
    CAST(COALESCE(homes.helmets, 0) AS BIGINT) AS helmets
FROM codes
LEFT JOIN counties named ON named.county_set = $5 AND named.fips = codes.fips
LEFT JOIN seen ON seen.fips = codes.fips
LEFT JOIN sites ON sites.fips = codes.fips
LEFT JOIN homes ON homes.fips = codes.fips
ORDER BY CASE WHEN named.state_fips = $6 THEN 0 ELSE 1 END, COALESCE(named.name, ''), codes.fips
