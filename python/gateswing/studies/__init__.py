"""Questions about one cell, and their answers."""
