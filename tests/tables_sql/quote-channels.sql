WITH c AS (
  SELECT CASE channel WHEN 'link' THEN 'By the customer, on the link' WHEN 'phone' THEN 'By phone, noted by staff'
      WHEN 'person' THEN 'In person, noted by staff' ELSE 'By the standing limit, nobody was asked' END AS word,
    COUNT(*) AS n, SUM(answer = 'accepted') AS k
  FROM quotes WHERE answer IN ('accepted', 'declined') GROUP BY word
)
SELECT word, n, k, n - k, 1.0 * k / n, WILSON_LOW(k, n), WILSON_HIGH(k, n) FROM c;
