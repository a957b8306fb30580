"""The owner's accounts: what is owed, bills, the journal, closing, the proof, customers of the trade."""
