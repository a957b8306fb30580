WITH longest AS (SELECT code FROM arrived WHERE theirs > 0 ORDER BY theirs DESC LIMIT 1),
rest AS (SELECT * FROM arrived WHERE code NOT IN (SELECT code FROM longest)),
owned AS (
  SELECT 'Ours' AS whose, SUM(ours) AS spent, (SELECT SUM(ours) FROM rest) AS other FROM arrived
  UNION ALL SELECT 'The customer''s', SUM(theirs), (SELECT SUM(theirs) FROM rest) FROM arrived
  UNION ALL SELECT 'A supplier''s', SUM(supplier), (SELECT SUM(supplier) FROM rest) FROM arrived
  UNION ALL SELECT 'The carrier''s', SUM(carrier), (SELECT SUM(carrier) FROM rest) FROM arrived
)
SELECT whose, spent / 86400.0, 1.0 * spent / (SELECT SUM(spent) FROM owned), other / 86400.0,
  1.0 * other / (SELECT SUM(other) FROM owned)
FROM owned;
