WITH q AS (SELECT fault AS word, answer FROM quotes),
c AS (
  SELECT word, COUNT(*) AS sent, SUM(answer = 'accepted') AS k, SUM(answer = 'declined') AS declined, SUM(answer = 'lapsed') AS lapsed,
    SUM(answer = 'waiting') AS waiting, SUM(answer <> 'waiting') AS n
  FROM q GROUP BY word
)
SELECT word, sent, k, declined, lapsed, waiting, 1.0 * k / NULLIF(n, 0), WILSON_LOW(k, n), WILSON_HIGH(k, n) FROM c;
