-- The chart's own columns (step and rules broken) are held against the handbook elsewhere.
WITH RECURSIVE stays AS (
  SELECT date(SUBSTR(left_local, 1, 10), '-6 days', 'weekday 1') AS week, ("left" - arrived) / 86400.0 AS days FROM bookline
),
whole AS (SELECT MIN(week) AS first, (SELECT date(today, '-6 days', 'weekday 1') FROM p) AS this FROM stays),
weeks (week) AS (
  SELECT first FROM whole UNION ALL SELECT date(week, '+7 days') FROM weeks, whole WHERE date(week, '+7 days') < this
),
ranked AS (
  SELECT week, days, ROW_NUMBER() OVER (PARTITION BY week ORDER BY days) AS r, COUNT(*) OVER (PARTITION BY week) AS n FROM stays
)
SELECT week, (SELECT COUNT(*) FROM stays WHERE stays.week = weeks.week),
  (SELECT AVG(days) FROM ranked WHERE ranked.week = weeks.week AND r IN ((n + 1) / 2, (n + 2) / 2))
FROM weeks;
