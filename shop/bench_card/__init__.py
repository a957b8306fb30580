"""The card of sums at the bench: a jumper wire, and a supply on a rail."""
