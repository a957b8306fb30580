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
account AS (
  SELECT account, order_id, CAST(ROUND(SUM(amount) * 100) AS INTEGER) AS amount
  FROM posting JOIN entry ON entry.id = entry_id GROUP BY account, order_id HAVING ROUND(SUM(amount) * 100) <> 0
)
SELECT 'Bills with something left', COUNT(*), SUM(amount) FROM bills WHERE amount > 0
UNION ALL SELECT 'Less what customers paid or were credited too much', COUNT(*), COALESCE(SUM(amount), 0) FROM bills WHERE amount < 0
UNION ALL SELECT 'Account: owed by customers', COUNT(*), SUM(amount) FROM account WHERE account = 'receivable'
UNION ALL SELECT 'Account: held in disputes', COUNT(*), COALESCE(SUM(amount), 0) FROM account WHERE account = 'held'
UNION ALL SELECT 'Account: deposits held', COUNT(*), COALESCE(SUM(amount), 0) FROM account WHERE account = 'deposits';
