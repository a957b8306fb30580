"""Figures for the owner: pure maths beside the queries."""
