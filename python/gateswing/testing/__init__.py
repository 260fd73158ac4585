"""Waveforms guarded in tests: references in text files, and a comparison that fails with a table.

    def test_the_edges_stay_as_they_are(waveform_regression):
        waveform_regression(gateswing.double_pulse(cell))

The fixture comes with the package (a plugin of pytest). Without pytest: :func:`assert_waveform_close`.
"""

from .after_edge import Figure
from .comparison import (
    Comparison,
    ComparisonRow,
    WaveformMismatchError,
    assert_waveform_close,
    compare_waveforms,
)
from .record import Part, Record, record_of
from .reference_file import read_reference, read_waveform_file, write_reference
from .tolerances import Tolerances

__all__ = [
    "Comparison",
    "ComparisonRow",
    "Figure",
    "Part",
    "Record",
    "Tolerances",
    "WaveformMismatchError",
    "assert_waveform_close",
    "compare_waveforms",
    "read_reference",
    "read_waveform_file",
    "record_of",
    "write_reference",
]
