-- The facts that a report reads: $1 first day, $2 last day, $3 course or empty, $4 grant or empty. With a grant only the
-- riders whose helmet it paid for count, and the sessions at which they got it.
WITH riders AS (
    SELECT f.*
    FROM rider_facts f
    WHERE f.held_on BETWEEN $1 AND $2
        AND ($3 = '' OR f.course_id IN (SELECT id FROM courses WHERE code = $3))
        AND ($4 = '' OR f.grant_id IN (SELECT id FROM grants WHERE code = $4))
),
held AS (
    SELECT f.*
    FROM session_facts f
    WHERE f.held_on BETWEEN $1 AND $2
        AND ($3 = '' OR f.course_id IN (SELECT id FROM courses WHERE code = $3))
        AND ($4 = '' OR f.session_id IN (SELECT session_id FROM riders))
)
