"""What a machine needs before the house can open: looked at with nothing but the standard library."""
