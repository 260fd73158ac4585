"""The way of the drain voltage and the channel current through both edges, against the safe operating area.

The area is bounded by the rated pulsed current, the rated drain voltage and the temperature that pulses of
power give the junction. The on-resistance line bounds what a MOSFET can do, not what it may do. The
temperature is found by superposition over the period, which repeats itself for ever:

    T(t) = T_mean + r(t) - mean(r),  r(t) = integral of P(t - s) dZth(s),
    P = v_DS (i_channel + i_body) + R_drift i_D^2

with the ladder Zth of the part. The current of the body is that of an avalanche, which heats a die more than
any edge. For each element of the ladder the rise at the begin of a period is what is left of itself and of
one period's heat, r(0) = r_1/(1 - exp(-T/tau)), with r_1 the rise after one period from zero. Where the
cooling is known T_mean is the operating point's; else it is the temperature that the cell states.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..circuit.cell import LowSideCell
from ..circuit.temperature import USUAL_JUNCTION_RATING
from ..circuit.thermal import FosterLadder
from ..datasheet.static_figures import on_resistance
from ..errors import InputError, InputProblem
from ..figures import format_figure
from ..model import Quantity, argument, at_least, choice
from .results import OperatingPoint

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["SwitchingLocus", "UsedShare", "switching_locus"]

Floats = NDArray[np.float64]

_HIGHEST = Quantity("K", "Of the junction.", allowed=at_least(173.15, 573.15))

# Intervals of constant power, of which the rise is made; a period has some thousand steps.
_MOST_INTERVALS = 5000
_NO_CURRENT = 1e-6  # [A]
# In words, what a bound is and what its largest use is.
_WORDS = {
    "pulsed current": "the channel current reaches {share} of the rated pulsed current of {limit}",
    "drain voltage": "the drain voltage reaches {share} of the rated {limit}",
    "junction temperature": "pulses of heat bring the junction to {figure}, {share} of the rise to {limit}",
}


@dataclass(frozen=True)
class UsedShare:
    """How much of one bound of the safe operating area is used, at most.

    Attributes:
        bound: ``pulsed current``, ``drain voltage`` or ``junction temperature``.
        share: used; above 1 the bound is exceeded.
        figure, limit: what is reached and the bound, in `unit`.
        unit: ``A``, ``V`` or ``K``.
        time: when [s], on the time axis of the waveform.
        drain_voltage, current: then [V], [A].
    """

    bound: str
    share: float
    figure: float
    limit: float
    unit: str
    time: float
    drain_voltage: float
    current: float

    def sentence(self) -> str:
        """What is reached, and where."""
        share, figure = format_figure(self.share, "%", 3), format_figure(self.figure, self.unit, 3)
        words = _WORDS[self.bound].format(
            share=share, figure=figure, limit=format_figure(self.limit, self.unit, 3)
        )
        where = f"at {format_figure(self.drain_voltage, 'V', 3)} and {format_figure(self.current, 'A', 3)}"
        return f"{words}, {where}."


@dataclass(frozen=True)
class SwitchingLocus:
    """Drain voltage and channel current of one period, and the bounds they keep to.

    Attributes:
        point: whose last period this is.
        times: of the nodes of the waveform [s], shape (nodes,).
        drain_voltage: v_DS at the die [V], shape (nodes,).
        current: of the channel [A], shape (nodes,).
        junction_temperature: [K], shape (nodes,); NaN where the part states no thermal impedance.
        channel_resistance: of the channel with its gate at its highest [ohm]; the on-state keeps to its line.
        used: the share of each bound that the part states, the largest first.
    """

    point: OperatingPoint
    times: Floats
    drain_voltage: Floats
    current: Floats
    junction_temperature: Floats
    channel_resistance: float
    used: tuple[UsedShare, ...]

    def edge(self, name: str) -> NDArray[np.intp]:
        """Indices of the nodes of one edge, ``turn_on`` or ``turn_off``.

        Raises:
            InputError: no such edge.
        """
        edge = getattr(self.point, choice("name", name, ("turn_on", "turn_off"), "edge"))
        return np.flatnonzero((self.times >= edge.begin) & (self.times <= edge.end))

    def plot(self, axes: Axes | None = None) -> Figure:
        """Draw both edges in the safe operating area; see :func:`gateswing.plot.plot_locus`."""
        from ..plot import plot_locus

        return plot_locus(self, axes)


def switching_locus(
    point: OperatingPoint, *, highest_temperature: float | str = USUAL_JUNCTION_RATING
) -> SwitchingLocus:
    """The locus of an operating point in the safe operating area of its MOSFET.

    Args:
        point: of :func:`gateswing.operating_point`.
        highest_temperature: of the junction [K].

    Returns:
        The locus with the used share of each bound. A bound for which the part states nothing is left out:
        ``pulsed_drain_current`` for the current, ``thermal_impedance`` for the temperature.

    Raises:
        InputError: the point has no answer, or the temperature is out of range.
    """
    highest = argument("highest_temperature", highest_temperature, _HIGHEST)
    if not point.succeeded:
        raise InputError([InputProblem("point", point.status, "has no answer to draw on.")])
    waveform = point.waveform
    current = waveform.values("i_channel")
    locus = SwitchingLocus(
        point,
        waveform.times,
        waveform.values("v_ds"),
        current,
        _temperature(point),
        _channel_resistance(point, max(float(current.max()), _NO_CURRENT)),
        (),
    )
    used = tuple(sorted(_used(locus, highest), key=lambda one: -one.share))
    return SwitchingLocus(**vars(locus) | {"used": used})


def _channel_resistance(point: OperatingPoint, current: float) -> float:
    """At the highest gate voltage [ohm]; not a number where the channel saturates below a current [A]."""
    mosfet, temperature = point.cell.mosfet, _mean_temperature(point)
    whole = on_resistance(mosfet, point.maximum_gate_voltage, current, junction_temperature=temperature)
    return float(whole) - float(mosfet.to_core(temperature).drift_resistance)


def _mean_temperature(point: OperatingPoint) -> float:
    found = point.junction_temperature
    return point.cell.junction_temperature if math.isnan(found) else found


def _temperature(point: OperatingPoint) -> Floats:
    """Of the junction at the nodes of the waveform [K]."""
    ladder, waveform = point.cell.mosfet.thermal_impedance, point.waveform
    if ladder is None:
        return np.full(waveform.times.shape, np.nan)
    times, first = np.unique(waveform.times, return_index=True)
    drain = waveform.values("v_ds")[first]
    current = (waveform.values("i_channel") + waveform.values("i_body"))[first]
    drift = point.cell.mosfet.to_core(_mean_temperature(point)).drift_resistance
    power = drain * current + drift * waveform.values("i_d")[first] ** 2
    ends = times[np.unique(np.linspace(0, times.size - 1, _MOST_INTERVALS + 1).astype(int))]
    # Heat up to each end by trapezia: the nodes are dense where the power moves.
    heat = np.append(0.0, np.cumsum(0.5 * np.diff(times) * (power[1:] + power[:-1])))
    rises = _periodic_rise(ladder, ends, np.diff(np.interp(ends, times, heat)) / np.diff(ends))
    mean = np.trapezoid(rises, ends) / (ends[-1] - ends[0])
    return np.asarray(np.interp(waveform.times, ends, _mean_temperature(point) + rises - mean))


def _periodic_rise(ladder: FosterLadder, times: Floats, powers: Floats) -> Floats:
    """Rise over the case [K] at each time [s], for powers [W] between them, repeated for ever."""
    total = np.zeros(times.size)
    for resistance, constant in zip(ladder.resistances, ladder.time_constants, strict=True):
        element = FosterLadder(resistances=[resistance], time_constants=[constant])
        once = element.response(times, powers)
        periods = (times - times[0]) / constant
        total += once - np.exp(-periods) * once[-1] / np.expm1(-periods[-1])
    return total


def _used(locus: SwitchingLocus, highest: float) -> list[UsedShare]:
    point = locus.point
    mosfet, cell = point.cell.mosfet, point.cell
    rated = mosfet.drain_voltage_rating
    found = [_largest(locus, "drain voltage", locus.drain_voltage, 0.0, rated, "V")]
    if mosfet.pulsed_drain_current is not None:
        limit = mosfet.pulsed_drain_current
        found.append(_largest(locus, "pulsed current", np.abs(locus.current), 0.0, limit, "A"))
    if mosfet.thermal_impedance is not None:
        floor = _reference(cell)
        found.append(_largest(locus, "junction temperature", locus.junction_temperature, floor, highest, "K"))
    return found


def _reference(cell: LowSideCell) -> float:
    """Temperature [K] from which the rise of the junction counts: the ambient, or what the cell states."""
    return cell.cooling.ambient if cell.cooling and cell.cooling.mosfet else cell.junction_temperature


def _largest(
    locus: SwitchingLocus, bound: str, values: Floats, floor: float, limit: float, unit: str
) -> UsedShare:
    place = int(values.argmax())
    figure = float(values[place])
    share = (figure - floor) / (limit - floor) if limit > floor else math.inf
    where = float(locus.times[place]), float(locus.drain_voltage[place]), float(locus.current[place])
    return UsedShare(bound, share, figure, limit, unit, *where)
