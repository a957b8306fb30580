"""The day sheet: what needs hands next, and what waits for whom."""
