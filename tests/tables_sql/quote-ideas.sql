WITH told AS (SELECT word, idea, fault FROM arrived JOIN ideas USING (code) WHERE idea IN ('right', 'partly', 'not')),
c AS (
  SELECT word, COUNT(*) AS n, SUM(idea = 'right') AS k, SUM(idea = 'partly') AS partly, SUM(idea = 'not') AS wrong FROM told GROUP BY word
),
faults AS (
  SELECT word, fault, COUNT(*) AS n, ROW_NUMBER() OVER (PARTITION BY word ORDER BY COUNT(*) DESC, fault) AS r FROM told GROUP BY word, fault
)
SELECT word, n, k, partly, wrong, 1.0 * k / n, WILSON_LOW(k, n), WILSON_HIGH(k, n),
  (SELECT GROUP_CONCAT(said, ', ') FROM (
    SELECT COALESCE(NULLIF(fault, ''), 'not said') || ' ' || faults.n AS said FROM faults WHERE faults.word = c.word AND r <= 3 ORDER BY r
  ))
FROM c;
