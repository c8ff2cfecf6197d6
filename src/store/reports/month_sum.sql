-- One key of the month sums: $1 first day of the month, $2 first day of the next, $3 county set, $4 site county,
-- $5 home county, $6 course.
SELECT
    COUNT(*) AS facts,
    CAST(COALESCE(SUM(participated), 0) AS BIGINT) AS participations,
    CAST(COALESCE(SUM(completed), 0) AS BIGINT) AS completions,
    CAST(COALESCE(SUM(helmets), 0) AS BIGINT) AS helmets
FROM rider_facts
WHERE held_on >= $1
    AND held_on < $2
    AND county_set = $3
    AND site_county = $4
    AND home_county = $5
    AND course_id = $6
