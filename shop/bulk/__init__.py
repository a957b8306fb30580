"""Whole orders by the hundred thousand, to measure with: walked once by the real actions, then cast again and again."""
