"""Many points: axes, runs on one or several machines, the store, the table."""
