WITH owed AS (
  SELECT order_id, CAST(ROUND(SUM(amount) * 100) AS INTEGER) AS amount
  FROM posting JOIN entry ON entry.id = entry_id WHERE account = 'receivable' GROUP BY order_id HAVING ROUND(SUM(amount) * 100) <> 0
),
bills AS (
  SELECT owed.*, julianday(today) - julianday((
    SELECT MIN(due) FROM invoice WHERE invoice.order_id = owed.order_id AND kind = 'invoice'
      AND id NOT IN (SELECT credit_of_id FROM invoice WHERE credit_of_id IS NOT NULL)
  )) AS late FROM owed, p
),
ages (name, above, upto) AS (
  VALUES ('Not due', -1e6, 0), ('1 to 30 days late', 0, 30), ('31 to 60 days late', 30, 60), ('Over 60 days late', 60, 1e6)
)
SELECT name, COUNT(amount), COUNT(amount), COALESCE(SUM(amount), 0)
FROM ages LEFT JOIN bills ON amount > 0 AND late > above AND late <= upto GROUP BY name;
