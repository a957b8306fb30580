WITH q AS (
  SELECT remedy, code, quoted_minutes, look + repair AS spent, 1.0 * (look + repair) / quoted_minutes AS ratio,
    ROW_NUMBER() OVER (PARTITION BY remedy ORDER BY 1.0 * (look + repair) / quoted_minutes) AS r,
    COUNT(*) OVER (PARTITION BY remedy) AS n,
    ROW_NUMBER() OVER (PARTITION BY remedy ORDER BY 1.0 * (look + repair) / quoted_minutes DESC, code) AS worst
  FROM gone WHERE mended AND quoted_minutes > 0
)
SELECT remedy, COUNT(*), SUM(quoted_minutes), SUM(spent), 1.0 * SUM(spent) / SUM(quoted_minutes),
  AVG(CASE WHEN r IN ((n + 1) / 2, (n + 2) / 2) THEN ratio END), MAX(ratio), MAX(CASE WHEN worst = 1 THEN code END)
FROM q GROUP BY remedy;
