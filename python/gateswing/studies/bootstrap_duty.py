"""How far the duty of a half bridge may go before its bootstrap capacitor is recharged too little."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from ..circuit.driver_supply import BootstrapSupply
from ..circuit.half_bridge import HalfBridgeCell
from ..circuit.operation import DEAD_TIME, Operation
from ..circuit_checks.half_bridge import require_bridge
from ..errors import InputError, InputProblem, SimulationError, issue
from ..figures import format_figure
from ..model import Quantity, argument, positive
from ..tables import html_table, text_table
from .asking import RELATIVE_TOLERANCE
from .bridge_operation import quiet_half_bridge_point
from .bridge_point import HalfBridgePoint

__all__ = ["BootstrapLimit", "bootstrap_limit"]

_MINIMUM = Quantity("V", "Of the high side's driver supply while it is commanded on.", allowed=positive(60.0))
# The low side's on-time is searched from this share of the period up.
_SHORTEST = 1e-3
_RESOLUTION = 5e-3  # of the on-time found


@dataclass(frozen=True, repr=False)
class BootstrapLimit:
    """The largest duty that keeps the bootstrap capacitor above a voltage.

    Attributes:
        minimum_voltage: asked for [V].
        maximum_duty: of the high side; NaN where none keeps the voltage.
        minimum_low_on_time: of the low side's command, to recharge [s]; NaN likewise.
        low_on_time_by_hand: the same by :meth:`BootstrapSupply.minimum_off_time`, with the charge taken in a
            period and the diode's forward voltage at its mean current in the recharge [s].
        point: the bridge at that duty; where none keeps the voltage, at the least duty tried.
    """

    minimum_voltage: float
    maximum_duty: float
    minimum_low_on_time: float
    low_on_time_by_hand: float
    point: HalfBridgePoint

    def rows(self) -> list[tuple[str, str, str]]:
        """Name, value and meaning as text."""
        kept = format_figure(self.minimum_voltage, "V")
        return [
            ("maximum duty", format_figure(self.maximum_duty, "%"), f"of the high side, to keep {kept}"),
            (
                "minimum low on time",
                format_figure(self.minimum_low_on_time, "s"),
                "of its command, to recharge",
            ),
            ("low on time by hand", format_figure(self.low_on_time_by_hand, "s"), "exponential recharge"),
            ("lowest voltage", format_figure(self.point.high_supply_minimum, "V"), "at that duty, simulated"),
            ("highest voltage", format_figure(self.point.high_supply_maximum, "V"), "likewise"),
        ]

    def __repr__(self) -> str:
        return f"Bootstrap limit\n{text_table(self.rows())}"

    def _repr_html_(self) -> str:
        return html_table(self.rows(), ("figure", "value", "meaning"), "Bootstrap limit")


def bootstrap_limit(
    cell: HalfBridgeCell,
    *,
    frequency: float | str,
    dead_time: float | str,
    minimum_voltage: float | str,
    relative_tolerance: float = RELATIVE_TOLERANCE,
) -> BootstrapLimit:
    """Find the duty beyond which the bootstrap capacitor falls below a voltage, such as the driver's lockout.

    The voltage is the lowest in steady state while the high side is commanded on: more duty shortens the
    recharge and lengthens the discharge. Found by bisection over the low side's on-time, from a thousandth of
    the period up, with a :func:`half_bridge_point` for each; the body diode recharges in the dead times too.

    Args:
        cell: the bridge, with a bootstrap and a load.
        frequency: switching frequency [Hz].
        dead_time: as for :func:`half_bridge_point` [s].
        minimum_voltage: to be kept [V].
        relative_tolerance: of the integrator.

    Raises:
        InputError: an argument is out of range, or the bridge has no bootstrap.
        SimulationError: a point on the way has no steady state.
    """
    require_bridge(cell)
    if cell.bootstrap is None:
        raise InputError([InputProblem("cell.bootstrap", None, "is left out.")])
    minimum = argument("minimum_voltage", minimum_voltage, _MINIMUM)
    gap = argument("dead_time", dead_time, DEAD_TIME)
    rate = Operation(frequency=frequency, duty=0.5).frequency

    def point(low_share: float) -> HalfBridgePoint:
        duty = 1.0 - low_share - 2.0 * gap * rate
        found = quiet_half_bridge_point(
            cell, frequency=rate, duty=duty, dead_time=gap, relative_tolerance=relative_tolerance
        )
        if not found.succeeded:
            raise SimulationError(found.status, f"at a duty of {duty:.1%}: {found.message}")
        return found

    longest = 1.0 - _SHORTEST - 2.0 * max(0.0, gap) * rate
    if longest <= _SHORTEST:
        reason = f"leaves no on-time in a period of {format_figure(1.0 / rate, 's', 3)}."
        raise InputError([InputProblem("dead_time", format_figure(gap, "s", 3), reason)])
    share, found = _least_share(point, longest, minimum)
    issue(found.warnings)
    duty = math.nan if math.isnan(share) else found.duty
    return BootstrapLimit(minimum, duty, share / rate, _by_hand(cell, minimum, found), found)


def _least_share(
    point: Callable[[float], HalfBridgePoint], longest: float, minimum: float
) -> tuple[float, HalfBridgePoint]:
    """Least share of the period for the low side that keeps the voltage, NaN if none does, with its point."""
    short, long = _SHORTEST, longest
    found = point(short)
    if found.high_supply_minimum >= minimum:
        return short, found
    found = point(long)
    if found.high_supply_minimum < minimum:
        return math.nan, found
    while long > (1.0 + _RESOLUTION) * short:
        middle = math.sqrt(short * long)
        tried = point(middle)
        if tried.high_supply_minimum < minimum:
            short = middle
        else:
            long, found = middle, tried
    return long, found


def _by_hand(cell: HalfBridgeCell, minimum: float, point: HalfBridgePoint) -> float:
    bootstrap = cell.bootstrap
    assert bootstrap is not None
    energy = next(entry.energy for entry in point.ledger if entry.name == "bootstrap supply")
    charge = energy / bootstrap.supply_voltage
    off_time = (1.0 - point.duty) / point.frequency
    diode = bootstrap.diode
    drop = diode.emission_voltage * math.log1p(charge / off_time / diode.saturation_current())
    supply = BootstrapSupply(
        supply_voltage=bootstrap.supply_voltage,
        capacitance=bootstrap.capacitance,
        resistance=bootstrap.resistance + diode.resistance,
        diode_drop=drop,
    )
    return supply.minimum_off_time(charge, minimum)
