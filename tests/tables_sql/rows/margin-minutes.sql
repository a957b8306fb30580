SELECT (SELECT username FROM person WHERE person.id = by_id),
  SUM(CASE kind WHEN 'look' THEN minutes ELSE 0 END), SUM(CASE kind WHEN 'repair' THEN minutes ELSE 0 END),
  SUM(CASE kind WHEN 'test' THEN minutes ELSE 0 END), SUM(CASE kind WHEN 'talk' THEN minutes ELSE 0 END), SUM(minutes)
FROM worksession, p WHERE strftime('%s', started_at) + 0 >= since AND strftime('%s', started_at) + 0 < until
GROUP BY by_id HAVING SUM(minutes) > 0;
