"""Last year once more under other rules."""
