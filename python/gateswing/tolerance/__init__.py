"""Spread of parts: samples, corners, sensitivities, and the yield."""
