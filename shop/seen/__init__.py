"""Orders like this one, and what they turned out to be."""
