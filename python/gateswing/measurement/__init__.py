"""Figures of measured waveforms, beside the model's, and what they tell of the circuit."""
