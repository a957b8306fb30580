SELECT code, customer, outcome, billed, parts, spoiled, post, fees, losses, billed - parts - spoiled - post - fees - losses,
  minutes, bench, billed - parts - spoiled - post - fees - losses - bench
FROM here;
