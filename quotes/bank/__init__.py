"""Statements of the bank: read, compared with what is owed, confirmed by a person."""
