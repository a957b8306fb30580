CREATE TEMP VIEW stood AS
  SELECT '20 Goods in' AS at, 20 AS number, at20 + 0 AS spent, went, station FROM arrived WHERE at20 IS NOT NULL
  UNION ALL SELECT '30 Diagnosis', 30, at30 + 0, went, station FROM arrived WHERE at30 IS NOT NULL
  UNION ALL SELECT '40 Quote', 40, at40 + 0, went, station FROM arrived WHERE at40 IS NOT NULL
  UNION ALL SELECT '50 Go-ahead', 50, at50 + 0, went, station FROM arrived WHERE at50 IS NOT NULL
  UNION ALL SELECT '60 Repair', 60, at60 + 0, went, station FROM arrived WHERE at60 IS NOT NULL
  UNION ALL SELECT '70 Test', 70, at70 + 0, went, station FROM arrived WHERE at70 IS NOT NULL
  UNION ALL SELECT '80 Goods out', 80, at80 + 0, went, station FROM arrived WHERE at80 IS NOT NULL;
INSERT INTO stays
SELECT at, CASE WHEN went IS NOT NULL OR station <> number THEN (spent + 863) / 864 ELSE spent / 864 END,
  went IS NOT NULL OR station <> number
FROM stood;
DELETE FROM ranked;
INSERT INTO ranked SELECT g, u, d, n, ROW_NUMBER() OVER (PARTITION BY g ORDER BY u) FROM risk WHERE d > 0;
SELECT g, orders, running, median, low, high, eighty, (SELECT SUM(spent) FROM stood WHERE at = g) / 86400.0 FROM curve;
