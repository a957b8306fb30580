"""Money out and in."""
