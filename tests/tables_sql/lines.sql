-- The file of lines as it was exported (table `file`, all text) with its words made numbers: money in cents, moments in
-- seconds since 1970, days as ISO 8601 text, empty cells as NULL. `p` holds the period and the moment the figures stand for.
CREATE TEMP VIEW l AS
SELECT
  "order" AS code, customer, "customer number" AS customer_number, trade, family, fault, remedy,
  technician, "technician number" AS technician_number, "customer's idea" AS idea, outcome, "comeback of" AS comeback_of,
  cause, answer, channel, CAST(station AS INTEGER) AS station, "needs part" AS needs_part,
  arrived AS arrived_text, "first quote sent" AS sent_text, "left" AS left_text,
  CAST(strftime('%s', arrived) AS INTEGER) AS came,
  CAST(strftime('%s', NULLIF("left", '')) AS INTEGER) AS went,
  CAST(strftime('%s', NULLIF(home, '')) AS INTEGER) AS home,
  CAST(strftime('%s', NULLIF("first quote sent", '')) AS INTEGER) AS sent,
  CAST(strftime('%s', NULLIF(answered, '')) AS INTEGER) AS answered,
  NULLIF("left day", '') AS left_day,
  NULLIF("first promise", '') AS first_promise, NULLIF("last promise", '') AS last_promise,
  CAST(ROUND("quoted (USD)" * 100) AS INTEGER) AS quoted, CAST("minutes quoted" AS INTEGER) AS quoted_minutes,
  CAST(ROUND("billed (USD)" * 100) AS INTEGER) AS billed, CAST(ROUND("parts (USD)" * 100) AS INTEGER) AS parts,
  CAST(ROUND("spoiled (USD)" * 100) AS INTEGER) AS spoiled, CAST(ROUND("post (USD)" * 100) AS INTEGER) AS post,
  CAST(ROUND("fees (USD)" * 100) AS INTEGER) AS fees, CAST(ROUND("losses (USD)" * 100) AS INTEGER) AS losses,
  CAST(ROUND("bench cost (USD)" * 100) AS INTEGER) AS bench, CAST(ROUND("balance (USD)" * 100) AS INTEGER) AS balance,
  CAST(ROUND("declared (USD)" * 100) AS INTEGER) AS declared,
  CAST("minutes looking" AS INTEGER) AS look, CAST("minutes repairing" AS INTEGER) AS repair,
  CAST("minutes testing" AS INTEGER) AS test,
  "minutes looking" + "minutes repairing" + "minutes testing" + "minutes talking" AS minutes,
  CAST("shop's clock (seconds)" AS INTEGER) AS ours, CAST("customer's clock (seconds)" AS INTEGER) AS theirs,
  CAST("supplier's clock (seconds)" AS INTEGER) AS supplier, CAST("carrier's clock (seconds)" AS INTEGER) AS carrier,
  NULLIF("at station 20 (seconds)", '') AS at20, NULLIF("at station 30 (seconds)", '') AS at30,
  NULLIF("at station 40 (seconds)", '') AS at40, NULLIF("at station 50 (seconds)", '') AS at50,
  NULLIF("at station 60 (seconds)", '') AS at60, NULLIF("at station 70 (seconds)", '') AS at70,
  NULLIF("at station 80 (seconds)", '') AS at80,
  outcome IN ('fixed', 'part fixed', 'data only') AS mended
FROM file;

CREATE TEMP VIEW arrived AS SELECT * FROM l, p WHERE came >= since AND came < until;
CREATE TEMP VIEW here AS SELECT * FROM l, p WHERE went IS NULL;
CREATE TEMP VIEW gone AS
SELECT *, billed - parts - spoiled - post - fees - losses AS cash,
  billed - parts - spoiled - post - fees - losses - bench AS full
FROM l, p WHERE went >= since AND went < until;
CREATE TEMP VIEW quotes AS
SELECT * FROM l, p WHERE sent >= since AND sent < until AND comeback_of = ''
  AND answer IN ('accepted', 'declined', 'lapsed', 'waiting');

-- The product limit of stays in whole units: `g` a group, `u` the units, `ended` 1 or 0. Greenwood's variance, log-log limits.
CREATE TEMP TABLE stays (g TEXT, u INTEGER, ended INTEGER);
CREATE TEMP VIEW risk AS
SELECT g, u, SUM(ended) AS d, SUM(COUNT(*)) OVER (PARTITION BY g ORDER BY u DESC) AS n FROM stays GROUP BY g, u;
CREATE TEMP TABLE ranked (g TEXT, u INTEGER, d INTEGER, n INTEGER, r INTEGER, PRIMARY KEY (g, r));
CREATE TEMP VIEW steps AS
WITH RECURSIVE walk (g, r, u, d, n, s, v) AS (
  SELECT g, r, u, d, n, 1.0 * (n - d) / n, CASE WHEN n > d THEN 1.0 * d / (n * (n - d)) ELSE 0 END FROM ranked WHERE r = 1
  UNION ALL
  SELECT k.g, k.r, k.u, k.d, k.n, w.s * (k.n - k.d) / k.n, w.v + CASE WHEN k.n > k.d THEN 1.0 * k.d / (k.n * (k.n - k.d)) ELSE 0 END
  FROM walk w JOIN ranked k ON k.g = w.g AND k.r = w.r + 1
)
SELECT g, u, d, n, s,
  CASE WHEN s <= 0 THEN 0 ELSE POW(s, EXP(1.959963984540054 * SQRT(v) / -LN(s))) END AS low,
  CASE WHEN s <= 0 THEN 0 ELSE POW(s, EXP(-1.959963984540054 * SQRT(v) / -LN(s))) END AS high
FROM walk;
CREATE TEMP VIEW curve AS
SELECT g, COUNT(*) AS orders, SUM(ended = 0) AS running,
  (SELECT MIN(u) FROM steps WHERE steps.g = stays.g AND s <= 0.5 + 1e-12) / 100.0 AS median,
  (SELECT MIN(u) FROM steps WHERE steps.g = stays.g AND low <= 0.5) / 100.0 AS low,
  (SELECT MIN(u) FROM steps WHERE steps.g = stays.g AND high <= 0.5) / 100.0 AS high,
  (SELECT MIN(u) FROM steps WHERE steps.g = stays.g AND s <= 0.2 + 1e-12) / 100.0 AS eighty
FROM stays GROUP BY g;
