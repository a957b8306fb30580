"""Payments by card: the adapter every provider fits into, and what their reports lead to."""
