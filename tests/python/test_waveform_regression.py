"""This project's own example, guarded by its own means."""

from collections.abc import Callable
from typing import Any

import gateswing as gs

# The times are stated, so that a change of the default length of a record is no change of the edges.
TIMES: dict[str, Any] = {"on_time": "0.6 us", "off_time": "0.6 us"}
TOLERANCE = 1e-6
CHANNELS = ["v_gs", "v_gs_pin", "v_ds", "v_ds_pin", "i_d", "i_gate"]


def test_the_edges_of_the_example_stay_as_they_are(
    cell: gs.LowSideCell, waveform_regression: Callable[..., Any]
) -> None:
    edges = gs.double_pulse(cell, relative_tolerance=TOLERANCE, **TIMES)
    settings = TIMES | {"design": "coolant_pump.toml", "relative_tolerance": TOLERANCE}
    waveform_regression(edges, channels=CHANNELS, settings=settings)
