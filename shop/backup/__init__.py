"""Backups: sealed sets of database and files, and the proof that each can be restored."""
