WITH q AS (SELECT CASE WHEN quoted <= 5000 THEN '0 to 50' WHEN quoted <= 10000 THEN '50 to 100' WHEN quoted <= 20000 THEN '100 to 200'
  WHEN quoted <= 40000 THEN '200 to 400' ELSE 'over 400' END AS word, answer FROM quotes),
c AS (
  SELECT word, COUNT(*) AS sent, SUM(answer = 'accepted') AS k, SUM(answer = 'declined') AS declined, SUM(answer = 'lapsed') AS lapsed,
    SUM(answer = 'waiting') AS waiting, SUM(answer <> 'waiting') AS n
  FROM q GROUP BY word
)
SELECT word, sent, k, declined, lapsed, waiting, 1.0 * k / NULLIF(n, 0), WILSON_LOW(k, n), WILSON_HIGH(k, n) FROM c;
