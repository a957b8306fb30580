SELECT code, customer, remedy, last_promise, quoted_minutes FROM here
WHERE answer = 'accepted' AND station <= 60 AND repair = 0 AND test = 0;
