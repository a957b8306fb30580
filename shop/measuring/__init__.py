"""How fast the pages and papers are, each against the least that could do its work, in the same run."""
