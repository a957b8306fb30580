WITH start AS (
  SELECT code, fault, COALESCE(home, went) AS begun, MIN(now, COALESCE(home, went) + 90 * 86400) AS ends FROM gone WHERE mended
),
risk AS (
  SELECT start.*, COALESCE((
    SELECT MIN(c.came) FROM l c WHERE c.comeback_of = start.code AND c.cause IN ('same', 'work', 'lot') AND c.came <= start.ends
  ), start.ends) AS until FROM start
),
back AS (SELECT c.cause, risk.fault FROM l c JOIN risk ON c.comeback_of = risk.code AND c.came <= risk.until),
c AS (
  SELECT fault, COUNT(*) AS n, SUM(MAX(0, until - begun)) AS spent,
    (SELECT COUNT(*) FROM back WHERE back.fault = risk.fault AND cause IN ('same', 'work', 'lot')) AS k
  FROM risk GROUP BY fault
)
SELECT fault, n, ROUND(spent / 86400.0, 2), k, CASE WHEN n >= 10 THEN k * 90.0 * 100 * 86400 / spent END,
  CASE WHEN n >= 10 THEN POISSON_LOW(k) * 90.0 * 100 * 86400 / spent END,
  CASE WHEN n >= 10 THEN POISSON_HIGH(k) * 90.0 * 100 * 86400 / spent END
FROM c;
