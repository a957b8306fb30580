"""How the house runs: what stands while something behind it is away, what it writes down, and the owner's page on it."""
