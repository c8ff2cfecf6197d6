-- Every county of the state, and any other that a fact of the period names: $1 first day, $2 last day,
-- $3 county set, $4 state. Sessions and `by_site` go by the county of the site, the other columns by the home.
WITH held AS (
    SELECT site_county AS fips, COUNT(*) AS sessions
    FROM session_facts
    WHERE held_on BETWEEN $1 AND $2
    GROUP BY site_county
),
sites AS (
    SELECT site_county AS fips, SUM(participated) AS took_part
    FROM rider_facts
    WHERE held_on BETWEEN $1 AND $2
    GROUP BY site_county
),
homes AS (
    SELECT home_county AS fips, SUM(participated) AS took_part, SUM(completed) AS completed, SUM(helmets) AS helmets
    FROM rider_facts
    WHERE held_on BETWEEN $1 AND $2
    GROUP BY home_county
),
codes AS (
    SELECT fips FROM counties WHERE county_set = $3 AND state_fips = $4
    UNION SELECT fips FROM held
    UNION SELECT fips FROM sites
    UNION SELECT fips FROM homes
)
SELECT
    codes.fips AS fips,
    COALESCE(named.name, '') AS name,
    COALESCE(named.state_fips, '') AS state_fips,
    CAST(COALESCE(held.sessions, 0) AS BIGINT) AS sessions,
    CAST(COALESCE(sites.took_part, 0) AS BIGINT) AS by_site,
    CAST(COALESCE(homes.took_part, 0) AS BIGINT) AS by_home,
    CAST(COALESCE(homes.completed, 0) AS BIGINT) AS completions,
    CAST(COALESCE(homes.helmets, 0) AS BIGINT) AS helmets
FROM codes
LEFT JOIN counties named ON named.county_set = $3 AND named.fips = codes.fips
LEFT JOIN held ON held.fips = codes.fips
LEFT JOIN sites ON sites.fips = codes.fips
LEFT JOIN homes ON homes.fips = codes.fips
ORDER BY CASE WHEN named.state_fips = $4 THEN 0 ELSE 1 END, COALESCE(named.name, ''), codes.fips
