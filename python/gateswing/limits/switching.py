"""Whether a cell switches at all, in time, and for as long as it is told to."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ..circuit.cell import LowSideCell
from ..circuit.design_file import Limits
from ..circuit.loads import Motor
from ..circuit.operation import Operation
from ..circuit_checks.drive import highest_current, on_voltage, plateau
from ..figures import format_figure
from ..studies.results import OperatingPoint
from .limit_check import LimitCheck, at_most

__all__ = ["NO_TIME", "switching_checks"]

# Share of a period that is rounding and not time.
NO_TIME = 1e-9
_NO_CURRENT = 1e-6  # [A]
# Of the bus, where the drain counts as down and as up (IEC 60747-8).
_DOWN, _UP = 0.1, 0.9


def switching_checks(
    cell: LowSideCell, limits: Limits, duty_origin: str, point: OperatingPoint
) -> Iterator[LimitCheck]:
    """Switching at all, the on-time that the drain makes of the commanded one, and the time of each edge.

    `duty_origin` is that of the limit on the error of the duty, see :class:`LimitCheck`.
    """
    yield _switches_fully(cell, point)
    yield _duty_error(limits, duty_origin, point)
    if 0.0 < point.duty < 1.0:
        yield from _pulses(limits, point)


def _switches_fully(cell: LowSideCell, point: OperatingPoint) -> LimitCheck:
    """Whether the drain reaches both of its levels."""
    off_share = 1.0 - point.on_share - point.transition_share
    on, off = point.on_share > 0.0, off_share > NO_TIME
    definition = "v_DS falls below 10 % and rises above 90 % of the bus in every period"
    margin, verdict = (1.0, "held") if on and off else (-np.inf, "exceeded")
    reason = "" if on and off else _never_off(cell, point) if on else _never_on(cell, point)
    return LimitCheck("switches_fully", float(on and off), 1.0, "", margin, verdict, definition, reason)


def _duty_error(limits: Limits, origin: str, point: OperatingPoint) -> LimitCheck:
    """How far the on-time of the drain is from the commanded one."""
    limit = limits.maximum_duty_error
    assert limit is not None
    definition = (
        "of the period, between the commanded on-time and that of the drain (v_DS below 10 % of the bus)"
    )
    error = abs(point.on_share - point.duty)
    return at_most("maximum_duty_error", error, limit, "%", definition, limits.margin, origin=origin)


def _pulses(limits: Limits, point: OperatingPoint) -> Iterator[LimitCheck]:
    """Each edge against the pulse that it must fit into, which bounds the shortest pulse."""
    period = 1.0 / point.frequency
    on_time, off_time = point.duty * period, (1.0 - point.duty) * period
    times = point.waveform.times - point.waveform.begin
    level = point.waveform.values("v_ds") / point.waveform.values("v_bus")
    on = _first(times, (times >= 0.0) & (level <= _DOWN))
    off = _first(times, (times >= on_time) & (level >= _UP))
    if np.isnan(off):  # a load that blocks, as LEDs do, keeps the drain below: see the figures of the edge
        off = point.turn_off.drain_end - point.waveform.begin
    off -= on_time
    for name, needed, pulse, words in (
        (
            "time_to_turn_on",
            on,
            on_time,
            "from the command until v_DS is below 10 % of the bus; allowed: the on-time",
        ),
        (
            "time_to_turn_off",
            off,
            off_time,
            "from the command until v_DS is above 90 % of the bus or of its rest; allowed: the off-time",
        ),
    ):
        yield at_most(name, needed, pulse, "s", words, limits.margin)


def _first(times: np.ndarray[tuple[int], np.dtype[np.float64]], there: np.ndarray) -> float:
    """The first of some times [s]; NaN if there is none."""
    found = np.flatnonzero(there)
    return float(times[found[0]]) if found.size else np.nan


def _never_on(cell: LowSideCell, point: OperatingPoint) -> str:
    current = highest_current(cell, Operation(frequency=point.frequency, duty=point.duty))
    if point.duty <= 0.0:
        return "the MOSFET is never told to turn on (duty 0)."
    if current is None:
        return "the MOSFET never turns on fully."
    most, needed = on_voltage(cell), plateau(cell, max(current, _NO_CURRENT))
    at, given = format_figure(current, "A", 3), format_figure(point.maximum_gate_voltage, "V", 3)
    wanted = f"its gate needs {format_figure(needed, 'V', 3)} to carry the load's {at}"
    if most <= needed:
        return (
            f"the MOSFET never turns on fully: {wanted}, and the driver gives it only "
            f"{format_figure(most, 'V', 3)}, however long it waits."
        )
    time = format_figure(point.duty / point.frequency, "s", 3)
    if point.maximum_gate_voltage >= needed:
        return f"the MOSFET never turns on fully: the on-time of {time} is too short for the drain to fall."
    return (
        f"the MOSFET never turns on fully: {wanted}, and reaches only {given} within the on-time of {time}."
    )


def _never_off(cell: LowSideCell, point: OperatingPoint) -> str:
    if point.duty >= 1.0:
        return "the MOSFET is never told to turn off (duty 100 %)."
    breakdown = cell.mosfet.breakdown_voltage
    if cell.bus.voltage >= breakdown:
        bus, rated = format_figure(cell.bus.voltage, "V"), format_figure(breakdown, "V")
        return f"the MOSFET cannot block: the bus of {bus} is above its breakdown voltage of {rated}."
    if isinstance(cell.load, Motor) and cell.load.back_emf >= cell.bus.voltage:
        against, bus = (format_figure(one, "V") for one in (cell.load.back_emf, cell.bus.voltage))
        return (
            f"the drain never rises to the bus of {bus}: the back-EMF of {against} is not below it, so the "
            "motor generates and drives its current backward through the body diode, whatever the gate does."
        )
    time = format_figure((1.0 - point.duty) / point.frequency, "s", 3)
    lowest = format_figure(point.minimum_gate_voltage, "V", 3)
    threshold = format_figure(cell.mosfet.channel.threshold_voltage, "V", 3)
    if point.minimum_gate_voltage > cell.mosfet.channel.threshold_voltage:
        return (
            f"the MOSFET never turns off fully: within the off-time of {time} its gate falls "
            f"only to {lowest}, and its threshold is {threshold}."
        )
    return f"the MOSFET never turns off fully: the off-time of {time} is too short for the drain to rise."
