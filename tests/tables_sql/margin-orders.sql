SELECT code, customer, outcome, billed, parts, spoiled, post, fees, losses, cash, minutes, bench, full FROM gone;
