"""Captures of oscilloscopes and loggers: reading their files, and making waveforms of them."""

from .capture import Capture, Trace
from .read import read_capture
from .report import ImportReport, Understood

__all__ = ["Capture", "ImportReport", "Trace", "Understood", "read_capture"]
