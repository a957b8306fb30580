-- The shop of this test never closes: working hours are hours. The offset of the file's own moments ends the promised day.
WITH late AS (
  SELECT (went - CAST(strftime('%s', date(first_promise, '+1 day') || 'T00:00:00' || SUBSTR(left_text, 20)) AS INTEGER)) / 3600.0 AS hours
  FROM gone WHERE first_promise IS NOT NULL
),
spans (name, above, upto) AS (
  VALUES ('more than two days of eight hours early', -1e9, -16), ('one to two days early', -16, -8), ('up to a day early', -8, 0),
    ('up to a day late', 0, 8), ('one to two days late', 8, 16), ('two to five days late', 16, 40), ('more than five days late', 40, 1e9)
)
SELECT name, (SELECT COUNT(*) FROM late WHERE hours > above AND hours <= upto),
  (SELECT COUNT(*) FROM late WHERE hours > above AND hours <= upto) * 1.0 / (SELECT COUNT(*) FROM late)
FROM spans;
