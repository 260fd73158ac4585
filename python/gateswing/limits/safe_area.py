"""The limit of the safe operating area."""

from __future__ import annotations

from ..studies.results import OperatingPoint
from ..studies.switching_locus import switching_locus
from .limit_check import LimitCheck, at_most

__all__ = ["safe_area_check"]


def safe_area_check(point: OperatingPoint, highest_temperature: float, marginal: float) -> LimitCheck | None:
    """The largest used share of the safe operating area; ``None`` where the part states none of it."""
    mosfet = point.cell.mosfet
    if mosfet.pulsed_drain_current is None and mosfet.thermal_impedance is None:
        return None
    worst = switching_locus(point, highest_temperature=highest_temperature).used[0]
    definition = "largest used share of pulsed current, drain voltage and junction temperature in pulses"
    name = "safe_operating_area"
    reason = f"{name.replace('_', ' ')}: {worst.sentence()}"
    return at_most(name, worst.share, 1.0, "%", definition, marginal, reason, "rating")
