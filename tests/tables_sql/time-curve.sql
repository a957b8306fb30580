-- Whole days: one that left counts up to the next, one still here down to the last.
INSERT INTO stays
SELECT 'all', CASE WHEN went IS NULL THEN MAX(0, now - came) / 86400 ELSE (went - came + 86399) / 86400 END, went IS NOT NULL FROM arrived;
DELETE FROM ranked;
INSERT INTO ranked SELECT g, u, d, n, ROW_NUMBER() OVER (PARTITION BY g ORDER BY u) FROM risk WHERE d > 0;
SELECT u, n, d, 1 - s, 1 - high, 1 - low FROM steps;
