"""What a customer types, judged: one form a page of the request."""
