"""Whether every limit is held, what limits, and the next change to make."""
