"""What levels of a capture say about its probes: a factor that is missing or counted twice, an inversion."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from ..figures import format_figure

__all__ = ["Doubt", "doubts_of"]

# The figure of an edge by which a channel is judged, and where it is read.
_LEVELS = {
    "v_gs_pin": ("plateau_voltage_pin", "V", "on the plateau"),
    "v_ds_pin": ("bus_voltage", "V", "in the off-state"),
    "i_d": ("test_current", "A", "in the on-state"),
}
_FACTORS = {
    10.0: "ten times", 100.0: "a hundred times", 1000.0: "a thousand times",
    0.1: "a tenth of", 0.01: "a hundredth of", 0.001: "a thousandth of",
}  # fmt: skip
_NEAR = 1.2  # either way: currents differ more from run to run than supplies, and less than factors
_LEAST = 0.02  # of what is expected, below which a sign means nothing


class Doubt(NamedTuple):
    """Of a channel.

    Attributes:
        channel: its name.
        sentence: what is odd and what it looks like.
    """

    channel: str
    sentence: str


def doubts_of(seen: Mapping[str, float], expected: Mapping[str, float]) -> Iterator[Doubt]:
    """Channels whose scale or sign is evidently wrong.

    Args:
        seen: figures of an edge by name, as of :meth:`gateswing.MeasuredTurnOn.values`.
        expected: the same of the known circuit.
    """
    for channel, (figure, unit, where) in _LEVELS.items():
        found, wanted = seen.get(figure, math.nan), expected.get(figure, math.nan)
        ratio = found / wanted if wanted else math.nan
        if math.isnan(ratio):
            continue
        size = abs(ratio)
        factor = next((one for one in _FACTORS if 1.0 / _NEAR < size / one < _NEAR), 1.0)
        shows = f"shows {format_figure(found, unit, 3)} {where}"
        should = f"the {format_figure(wanted, unit, 3)} expected"
        if ratio < -_LEAST:
            more = f", and has {_FACTORS[factor]} its size" if factor != 1.0 else ""
            yield Doubt(channel, f"{shows} against {should}: it looks inverted{more}.")
        elif factor != 1.0:
            cause = "left out" if factor < 1.0 else "counted twice"
            amount = f"{_FACTORS[factor]} {should}"
            yield Doubt(channel, f"{shows}, {amount}: is the factor of its probe {cause}?")
