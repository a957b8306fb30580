SELECT word, fault, COUNT(*), SUM(idea = 'right'), SUM(idea = 'partly')
FROM arrived JOIN ideas USING (code) WHERE idea IN ('right', 'partly', 'not') GROUP BY word, fault;
