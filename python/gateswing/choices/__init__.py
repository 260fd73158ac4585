"""Which value to take: frequency, gate resistors, snubber, clamp, and by optimisation."""
