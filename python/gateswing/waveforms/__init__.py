"""Waveforms: values over time, where they cross, their shift, their decimation."""
