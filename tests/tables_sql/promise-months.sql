-- ISO days compare as text. Due: left in the period, or here past the day.
WITH due AS (
  SELECT first_promise, last_promise, left_day FROM gone WHERE first_promise IS NOT NULL
  UNION ALL SELECT first_promise, last_promise, NULL FROM here WHERE first_promise < today
),
lasts AS (
  SELECT SUBSTR(first_promise, 1, 7) AS month, COUNT(*) AS kept
  FROM gone WHERE first_promise IS NOT NULL AND left_day <= last_promise GROUP BY month
)
SELECT SUBSTR(first_promise, 1, 7) AS month, COUNT(*), SUM(COALESCE(left_day <= first_promise, 0)),
  SUM(COALESCE(left_day > first_promise, 1)), SUM(last_promise <> first_promise),
  COALESCE((SELECT kept FROM lasts WHERE lasts.month = SUBSTR(first_promise, 1, 7)), 0),
  1.0 * SUM(COALESCE(left_day <= first_promise, 0)) / COUNT(*),
  WILSON_LOW(SUM(COALESCE(left_day <= first_promise, 0)), COUNT(*)),
  WILSON_HIGH(SUM(COALESCE(left_day <= first_promise, 0)), COUNT(*))
FROM due GROUP BY month;
