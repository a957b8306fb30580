-- Hours: an answer counts up to the next whole one, silence down to the last. Those answered by the standing limit were not asked.
INSERT INTO stays
SELECT 'all', CASE WHEN answer IN ('accepted', 'declined') THEN (MAX(0, answered - sent) + 3599) / 3600
  ELSE MAX(0, COALESCE(answered, now) - sent) / 3600 END, answer IN ('accepted', 'declined')
FROM quotes WHERE channel <> 'limit';
DELETE FROM ranked;
INSERT INTO ranked SELECT g, u, d, n, ROW_NUMBER() OVER (PARTITION BY g ORDER BY u) FROM risk WHERE d > 0;
WITH d AS (SELECT *, MAX(1, (u + 23) / 24) AS day FROM steps)
SELECT day, SUM(d), MAX(n), 1 - MIN(s), 1 - MIN(high), 1 - MIN(low) FROM d WHERE day <= 60 GROUP BY day;
