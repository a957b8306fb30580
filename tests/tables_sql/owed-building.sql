SELECT code, customer, family, declared FROM here WHERE declared > 0 ORDER BY declared DESC, code LIMIT 10;
