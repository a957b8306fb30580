"""Pages that need no account: the front door and the request."""
