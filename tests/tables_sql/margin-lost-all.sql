WITH finished AS (
  SELECT *, billed - parts - spoiled - post - fees - losses - bench AS full FROM l, p
  WHERE (went >= since AND went < until) OR (went IS NULL AND answer IN ('lapsed', 'declined'))
),
-- Written down: no slip of these orders says lost or in dispute.
written AS (
  SELECT code, CASE WHEN outcome = 'own damage' THEN 'Our own damage' ELSE 'Other losses written down' END AS kind,
    CASE WHEN outcome = 'own damage' THEN 'our own damage: nothing billed' ELSE 'made good by us' END AS why, losses AS amount
  FROM finished WHERE losses > 0
),
lacked AS (
  SELECT code, CASE
    WHEN outcome = 'own damage' THEN 'Our own damage'
    WHEN comeback_of <> '' AND cause IN ('same', 'work', 'lot') THEN 'Warranty work'
    WHEN outcome = 'no fix' THEN 'Not mended'
    WHEN answer = 'declined' OR outcome IN ('declined', 'recycled', 'withdrawn') THEN 'Answered no'
    WHEN answer = 'lapsed' OR outcome = 'unclaimed' THEN 'No answer'
    ELSE 'Priced too low' END AS kind, cause, -(full + MAX(0, losses)) AS amount
  FROM finished WHERE full + MAX(0, losses) < 0
),
items AS (
  SELECT * FROM written UNION ALL
  SELECT code, kind, CASE kind
    WHEN 'Our own damage' THEN 'our own damage: nothing billed'
    WHEN 'Warranty work' THEN CASE cause WHEN 'same' THEN 'came back with the same fault: nothing billed'
      WHEN 'work' THEN 'came back: our own work, nothing billed' ELSE 'came back with a part of a bad lot: nothing billed' END
    WHEN 'Not mended' THEN 'not mended: looking and trying are unpaid'
    WHEN 'Answered no' THEN 'answered no: the looking is unpaid'
    WHEN 'No answer' THEN 'no answer to the quote: the looking is unpaid'
    ELSE 'parts and minutes above the price' END, amount
  FROM lacked
)
SELECT code, kind, why, amount FROM items;
