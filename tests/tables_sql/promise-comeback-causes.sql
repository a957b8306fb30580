WITH start AS (
  SELECT code, fault, COALESCE(home, went) AS begun, MIN(now, COALESCE(home, went) + 90 * 86400) AS ends FROM gone WHERE mended
),
risk AS (
  SELECT start.*, COALESCE((
    SELECT MIN(c.came) FROM l c WHERE c.comeback_of = start.code AND c.cause IN ('same', 'work', 'lot') AND c.came <= start.ends
  ), start.ends) AS until FROM start
),
back AS (SELECT c.cause, risk.fault FROM l c JOIN risk ON c.comeback_of = risk.code AND c.came <= risk.until),
words (cause, word, whose) AS (
  VALUES ('same', 'The same fault again', 'ours'), ('work', 'Our own work', 'ours'), ('lot', 'A part of a bad lot', 'ours'),
    ('new', 'A new fault', 'not ours'), ('damage', 'New damage', 'not ours'), ('', 'Not looked at yet', '')
),
scale AS (SELECT 90.0 * 100 * 86400 / SUM(MAX(0, until - begun)) AS times FROM risk)
SELECT word, whose, COUNT(back.cause), COUNT(back.cause) * times, POISSON_LOW(COUNT(back.cause)) * times, POISSON_HIGH(COUNT(back.cause)) * times
FROM words CROSS JOIN scale LEFT JOIN back ON back.cause = words.cause
GROUP BY words.cause HAVING COUNT(back.cause) > 0 OR whose = 'ours';
