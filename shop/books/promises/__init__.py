"""Promises kept, quotes answered, what came back."""
