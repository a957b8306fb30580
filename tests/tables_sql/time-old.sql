-- No slip is on any of these sheets, so that the station alone says whose time it is and why.
SELECT code, (now - came) / 86400.0, NULL,
  CASE station WHEN 20 THEN '20 Goods in' WHEN 30 THEN '30 Diagnosis' WHEN 40 THEN '40 Quote' WHEN 50 THEN '50 Go-ahead'
    WHEN 60 THEN '60 Repair' WHEN 70 THEN '70 Test' ELSE '80 Goods out' END,
  CASE WHEN station IN (20, 50) THEN 'The customer''s' ELSE 'Ours' END,
  CASE station WHEN 20 THEN 'Waits to be taken in' WHEN 30 THEN 'Waits to be looked at'
    WHEN 40 THEN 'Waits for its quote to be written' WHEN 50 THEN
      CASE answer WHEN 'lapsed' THEN 'Its quote lapsed: write a new one, or send it back' ELSE 'Waits for an answer to the quote' END
    WHEN 60 THEN 'Waits to be repaired' WHEN 70 THEN 'Waits to be tested'
    ELSE CASE WHEN balance > 0 AND trade = 'no' THEN 'Not paid, no slip' ELSE 'Waits to be sent' END END
FROM here;
