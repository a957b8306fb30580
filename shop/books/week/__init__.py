"""The weekly page: what the owner reads in two minutes, with the figures of every other page of the books."""
