WITH w AS (SELECT *, CAST(ROUND(unit_cost * on_hand * 100) AS INTEGER) AS worth FROM part WHERE on_hand > 0)
SELECT bin, COUNT(*), SUM(on_hand), SUM(reserved), SUM(CAST(ROUND(1.0 * worth * reserved / on_hand) AS INTEGER)), SUM(worth)
FROM w GROUP BY bin;
