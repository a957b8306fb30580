-- From the lines themselves, not from the sums by day that the page reads.
WITH m AS (
  SELECT SUBSTR(left_local, 1, 7) || '-01' AS month, billed, minutes, bench,
    billed - parts - spoiled - post - fees - losses AS cash
  FROM (SELECT *, look + repair + test + talk AS minutes FROM bookline)
)
SELECT month, COUNT(*), SUM(billed), SUM(cash), SUM(cash - bench), SUM(minutes),
  CASE WHEN SUM(minutes) > 0 THEN ROUND(SUM(cash) * 60.0 / SUM(minutes)) END
FROM m GROUP BY month;
