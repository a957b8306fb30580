"""Pictures at the bench: marks on a copy, what the customer sees of them, photos from the bench phone."""
