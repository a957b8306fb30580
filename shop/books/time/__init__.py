"""How long orders take, on whose clock, and what is old now."""
