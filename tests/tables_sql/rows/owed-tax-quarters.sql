SELECT SUBSTR(issued_at, 1, 4) || ' Q' || ((SUBSTR(issued_at, 6, 2) + 2) / 3) AS span,
  (SELECT COALESCE(json_extract(NULLIF(tax_rules, 'null'), '$.name'), tax_name) FROM rates WHERE rates.id = rates_id),
  json_extract(value, '$.category') || ' ' || RTRIM(RTRIM(PRINTF('%.3f', json_extract(value, '$.rate')), '0'), '.'),
  COUNT(*), SUM(CAST(ROUND(json_extract(value, '$.base') * 100) AS INTEGER)), SUM(CAST(ROUND(json_extract(value, '$.tax') * 100) AS INTEGER))
FROM p, invoice, json_each(tax_groups)
WHERE strftime('%s', issued_at) + 0 >= since AND strftime('%s', issued_at) + 0 < until
GROUP BY 1, 2, 3;
