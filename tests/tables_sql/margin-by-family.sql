SELECT family, COUNT(*), SUM(billed), SUM(cash), SUM(full), SUM(minutes),
  CASE WHEN SUM(minutes) > 0 THEN ROUND(SUM(cash) * 60.0 / SUM(minutes)) END
FROM gone GROUP BY family;
