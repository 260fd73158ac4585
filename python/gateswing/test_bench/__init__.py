"""The virtual test bench: a data sheet's tests simulated, and their figures beside the printed ones."""
