-- Hundredths of a day: one that left counts up to the next, one still here down to the last.
INSERT INTO stays
SELECT SUBSTR(arrived_text, 1, 7), CASE WHEN went IS NULL THEN MAX(0, now - came) / 864 ELSE (went - came + 863) / 864 END, went IS NOT NULL FROM arrived;
DELETE FROM ranked;
INSERT INTO ranked SELECT g, u, d, n, ROW_NUMBER() OVER (PARTITION BY g ORDER BY u) FROM risk WHERE d > 0;
SELECT g, orders, running, median, low, high, eighty FROM curve;
