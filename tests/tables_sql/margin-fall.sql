WITH w AS (SELECT *, CASE WHEN comeback_of <> '' THEN CASE WHEN cause IN ('same', 'work', 'lot') THEN 'warranty' ELSE 'paid' END
    WHEN mended THEN 'paid' ELSE 'unpaid' END AS work FROM gone)
SELECT 'Billed, without tax', SUM(billed) FROM w UNION ALL SELECT 'Parts at cost', -SUM(parts) FROM w
UNION ALL SELECT 'Spoiled parts', -SUM(spoiled) FROM w UNION ALL SELECT 'Post', -SUM(post) FROM w
UNION ALL SELECT 'Payment fees', -SUM(fees) FROM w UNION ALL SELECT 'Losses', -SUM(losses) FROM w
UNION ALL SELECT 'Cash margin', SUM(cash) FROM w
UNION ALL SELECT 'Bench, work that is paid', -SUM(CASE WHEN work = 'paid' THEN bench ELSE 0 END) FROM w
UNION ALL SELECT 'Bench, under warranty', -SUM(CASE WHEN work = 'warranty' THEN bench ELSE 0 END) FROM w
UNION ALL SELECT 'Bench, looking nobody pays', -SUM(CASE WHEN work = 'unpaid' THEN bench ELSE 0 END) FROM w
UNION ALL SELECT 'Full margin', SUM(full) FROM w;
