"""Figures of edges as a bench sees them, from voltages at the pins and a drain current."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Annotated, Any, NamedTuple

import numpy as np

from . import _core
from .capture.quality import noise_of
from .crossings import first_passage, last_passage, passages, swing_passages, transition
from .edges import Edge
from .errors import InputError, InputProblem
from .figures import Meaning
from .waveform import Waveform

if TYPE_CHECKING:
    import xarray as xr

__all__ = ["MeasuredTurnOff", "MeasuredTurnOn", "energy_against_skew", "measure_edges"]

_FRACTION = 0.1  # of the levels that limit times and energies, IEC 60747-8
_REST = 0.05  # of a window, over which a level at rest is averaged
_NOISES = 3.0  # standard deviations of noise in half a hysteresis
_MOST_HYSTERESIS = 0.08  # of a swing: the levels at 10 % must stay within reach
_RING_FLOOR = 1e-3  # of the bus, as the studies have it
_SLOPE_STRETCH = 0.2  # of a transition


@dataclass(frozen=True, repr=False)
class MeasuredEdge(Edge):
    """What both edges have. NaN, printed as a dash: the waveform does not show the figure."""

    delay: Annotated[float, Meaning("s", "td: v_GS leaves its level by 10 % to v_DS by 10 % (IEC 60747-8)")]
    energy: Annotated[float, Meaning("J", "v_DS i_D between 10 % of i_D and 10 % of v_DS (IEC 60747-8)")]
    total_energy: Annotated[float, Meaning("J", "v_DS i_D over the whole record of the edge")]
    peak_drain_current: Annotated[float, Meaning("A", "at the drain pin")]
    voltage_slope: Annotated[
        float, Meaning("V/s", "steepest v_DS at the pins over a fifth of its transition")
    ]
    plateau_voltage_pin: Annotated[float, Meaning("V", "mean of v_GS at the pins while v_DS moves")]
    test_current: Annotated[float, Meaning("A", "i_D in the on-state, as a straight line to the edge")]
    bus_voltage: Annotated[float, Meaning("V", "v_DS at rest in the off-state, unless given")]


@dataclass(frozen=True, repr=False)
class MeasuredTurnOn(MeasuredEdge):
    """Figures of one turn-on at the pins."""

    rise_time: Annotated[float, Meaning("s", "tr: v_DS from 90 % to 10 % (IEC 60747-8)")]
    peak_gate_voltage_pin: Annotated[float, Meaning("V", "v_GS at the pins")]


@dataclass(frozen=True, repr=False)
class MeasuredTurnOff(MeasuredEdge):
    """Figures of one turn-off at the pins."""

    fall_time: Annotated[float, Meaning("s", "tf: v_DS from 10 % to 90 % (IEC 60747-8)")]
    peak_drain_voltage_pin: Annotated[float, Meaning("V", "v_DS at the pins")]
    overshoot: Annotated[float, Meaning("V", "peak v_DS at the pins above the bus")]
    minimum_gate_voltage_pin: Annotated[float, Meaning("V", "v_GS at the pins")]
    ring_frequency: Annotated[float, Meaning("Hz", "of v_DS at the pins after its edge")]
    ring_decay_time: Annotated[float, Meaning("s", "of the ring's envelope to 1/e")]
    ring_quality: Annotated[float, Meaning("", "Q of the ring")]


def measure_edges(
    waveform: Waveform,
    *,
    gate: str = "v_gs_pin",
    drain: str = "v_ds_pin",
    current: str = "i_d",
    bus: float | None = None,
    window: tuple[float, float] | None = None,
    hysteresis: float | None = None,
) -> tuple[MeasuredTurnOn | MeasuredTurnOff, ...]:
    """Figures of every edge, by the same definitions and measures for a capture and for a simulation.

    The record is divided halfway between the times at which v_GS passes the middle of its swing. Levels are
    those at rest at the ends of each part. Of the definitions of a simulation's figures these differ in what
    a bench cannot see: all is at the pins, and v_DS is counted from its own level at rest in the off-state.

    Args:
        waveform: of a capture or a result.
        gate: its channel of v_GS.
        drain: its channel of v_DS.
        current: its channel of i_D; without it there are no energies.
        bus: v_DS in the off-state [V]; left out: as measured.
        window: begin and end [s] of one edge; left out: all edges are looked for.
        hysteresis: of level crossings, as a share of the swing; left out: three times the noise. See
            :mod:`gateswing.crossings`.

    Returns:
        The edges in order of time.

    Raises:
        InputError: there is no such channel, or the window lies outside.
    """
    view = _View(waveform, gate, drain, current if current in waveform.units else None, bus, hysteresis)
    missing = [name for name in (gate, drain) if name not in waveform.units]
    if missing:
        known = ", ".join(waveform.units)
        raise InputError([InputProblem("channel", repr(name), "no such channel.", known) for name in missing])
    if window is None:
        return tuple(_edge(view, part) for part in _parts(view))
    if not waveform.begin <= window[0] < window[1] <= waveform.end:
        allowed = f"{waveform.begin:g} s to {waveform.end:g} s, in this order"
        raise InputError([InputProblem("window", str(window), "not inside the waveform.", allowed)])
    return (_edge(view, _core.Window(*window)),)


def energy_against_skew(
    waveform: Waveform, skews: Sequence[float], *, current: str = "i_d", **options: Any
) -> xr.Dataset:
    """Energies of every edge if the current were late by so much against the voltage, and were moved back.

    Args:
        waveform: of a capture, or of a simulation to see how much a skew would matter.
        skews: assumed delays of the current [s].
        current: the channel that is moved.
        options: of :func:`measure_edges`.

    Returns:
        ``energy`` and ``total_energy`` [J] over ``edge``, counted from 0, and ``skew`` [s].

    Raises:
        InputError: as :func:`measure_edges`.
    """
    import xarray as xr

    moved = (_moved(waveform, current, skew) for skew in skews)
    found = [measure_edges(one, current=current, **options) for one in moved]
    rows = [[(edge.energy, edge.total_energy) for edge in edges] for edges in found]
    count = min(len(row) for row in rows)
    values = np.array([row[:count] for row in rows], dtype=np.float64).reshape(len(rows), count, 2)
    definitions = MeasuredEdge.definitions()
    data = {
        name: (("edge", "skew"), values[:, :, index].T, {"units": "J", "long_name": definitions[name]})
        for index, name in enumerate(("energy", "total_energy"))
    }
    skew_axis = (
        "skew",
        np.asarray(skews, dtype=np.float64),
        {"units": "s", "long_name": "assumed delay of i_D"},
    )
    return xr.Dataset(data, coords={"edge": np.arange(count), "skew": skew_axis})


class _View(NamedTuple):
    """A waveform and how to look at it."""

    waveform: Waveform
    gate: str
    drain: str
    current: str | None
    bus: float | None
    hysteresis: float | None

    def band(self, channel: str, swing: float) -> float:
        """Half the hysteresis of a channel [unit]."""
        if self.hysteresis is not None:
            return self.hysteresis * abs(swing)
        if self.waveform.core.degree > 1:
            return 0.0
        noise = noise_of(self.waveform.values(channel)[::2])
        # What interpolation and rounding make of a clean waveform is no noise.
        return 0.0 if noise < 1e-4 * abs(swing) else min(_NOISES * noise, _MOST_HYSTERESIS * abs(swing))

    def mean(self, channel: str, begin: float, end: float) -> float:
        return float(_core.mean(self.waveform.core, channel, _core.Window(begin, end)))


def _parts(view: _View) -> list[_core.Window]:
    """One window for each edge."""
    waveform = view.waveform
    found = swing_passages(waveform, view.gate)
    middles = [0.5 * (one.time + after.time) for one, after in pairwise(found)]
    ends = [waveform.begin, *middles, waveform.end]
    return [_core.Window(*pair) for pair in pairwise(ends)] if found else []


@dataclass(frozen=True)
class _Levels:
    """Of v_GS and v_DS at rest before and after the edge."""

    gate_before: float
    gate_after: float
    drain_before: float
    drain_after: float

    @property
    def is_turn_on(self) -> bool:
        return self.gate_after > self.gate_before

    def gate(self, fraction: float) -> float:
        return self.gate_before + fraction * (self.gate_after - self.gate_before)

    def drain(self, fraction: float) -> float:
        return self.drain_before + fraction * (self.drain_after - self.drain_before)


def _levels(view: _View, window: _core.Window) -> _Levels:
    gate_begin, gate_end = (float(view.waveform.value(view.gate, t)) for t in (window.begin, window.end))
    middle = passages(view.waveform, view.gate, 0.5 * (gate_begin + gate_end), window)
    moved = middle[0].time if middle else window.end
    rest = _REST * window.length
    before = (window.begin, window.begin + min(rest, 0.25 * (moved - window.begin)))
    after = (window.end - rest, window.end)
    means = [
        view.mean(channel, *stretch) for channel in (view.gate, view.drain) for stretch in (before, after)
    ]
    levels = _Levels(*means)
    if view.bus is None:
        return levels
    return dataclasses.replace(levels, **{"drain_before" if levels.is_turn_on else "drain_after": view.bus})


def _edge(view: _View, window: _core.Window) -> MeasuredTurnOn | MeasuredTurnOff:
    levels = _levels(view, window)
    swing = levels.drain_after - levels.drain_before
    found = transition(
        view.waveform, view.drain, (levels.drain(_FRACTION), levels.drain(1 - _FRACTION)), window,
        view.band(view.drain, swing),
    )  # fmt: skip
    left = last_passage(
        passages(view.waveform, view.gate, levels.gate(_FRACTION), window,
                 view.band(view.gate, levels.gate_after - levels.gate_before)),
        levels.is_turn_on, found.begin if found else math.inf,
    )  # fmt: skip
    common = _common(view, window, levels, found, left)
    if levels.is_turn_on:
        peak = _core.maximum(view.waveform.core, view.gate, window).value
        return MeasuredTurnOn(
            **common, rise_time=found.length if found else math.nan, peak_gate_voltage_pin=peak
        )
    return MeasuredTurnOff(
        **common, fall_time=found.length if found else math.nan, **_turn_off(view, window, levels, found)
    )


def _common(
    view: _View, window: _core.Window, levels: _Levels, found: _core.Window | None, left: float | None
) -> dict[str, float]:
    nothing = math.nan
    gate_time = nothing if left is None else left
    result = {
        "begin": window.begin,
        "end": window.end,
        "gate_time": gate_time,
        "drain_begin": found.begin if found else nothing,
        "drain_end": found.end if found else nothing,
        "delay": found.begin - gate_time if found else nothing,
        "voltage_slope": _steepest(view, found) if found else nothing,
        "plateau_voltage_pin": view.mean(view.gate, found.begin, found.end) if found else nothing,
        "bus_voltage": levels.drain_before if levels.is_turn_on else levels.drain_after,
    }
    names = ("energy", "total_energy", "peak_drain_current", "test_current")
    if view.current is None:
        return result | dict.fromkeys(names, nothing)
    at = (found.end if levels.is_turn_on else gate_time) if found else nothing
    test_current = _on_current(view, window, levels, at)
    total = _core.integral_of_product(view.waveform.core, view.drain, view.current, window)
    limits = _energy_window(view, window, levels, test_current)
    inside = nothing
    if limits is not None:
        inside = _core.integral_of_product(view.waveform.core, view.drain, view.current, limits)
    peak = _core.maximum(view.waveform.core, view.current, window).value
    return result | dict(zip(names, (inside, total, peak, test_current), strict=True))


def _on_current(view: _View, window: _core.Window, levels: _Levels, at: float) -> float:
    """The line through i_D in the on-state, taken to the edge [A]: a load's current ramps and rings."""
    if view.current is None or math.isnan(at) or not window.begin < at < window.end:
        return math.nan
    stretch = (0.5 * (at + window.end), window.end) if levels.is_turn_on else (window.begin, at)
    times = np.linspace(*stretch, 401)
    line = np.polyfit(times - at, view.waveform.value(view.current, times), 1)
    return float(line[1])


def _energy_window(
    view: _View, window: _core.Window, levels: _Levels, test_current: float
) -> _core.Window | None:
    """By the rules of the core's energy windows, with passages for crossings."""
    if view.current is None or not test_current > 0.0:
        return None
    bus = levels.drain_before if levels.is_turn_on else levels.drain_after
    voltage, current = _FRACTION * bus, _FRACTION * test_current
    bands = view.band(view.drain, bus), view.band(view.current, test_current)
    at_current = passages(view.waveform, view.current, current, window, bands[1])
    if levels.is_turn_on:
        end = first_passage(passages(view.waveform, view.drain, voltage, window, bands[0]), rising=False)
        begin = None if end is None else last_passage(at_current, rising=True, before=end)
    else:
        moved = transition(view.waveform, view.drain, (voltage, bus - voltage), window, bands[0])
        begin = None if moved is None else moved.begin
        end = None if begin is None else first_passage(at_current, rising=False, after=begin)
    return None if begin is None or end is None else _core.Window(begin, end)


def _steepest(view: _View, found: _core.Window) -> float:
    """Largest mean slope of v_DS over a fifth of its transition [V/s]; single samples are too noisy."""
    stretch = _SLOPE_STRETCH * found.length
    begins = np.linspace(found.begin, found.end - stretch, 161)
    waveform = view.waveform
    rise = waveform.value(view.drain, begins + stretch) - waveform.value(view.drain, begins)
    return float(np.abs(rise).max() / stretch)


def _turn_off(
    view: _View, window: _core.Window, levels: _Levels, found: _core.Window | None
) -> dict[str, float]:
    core = view.waveform.core
    bus = levels.drain_after
    peak = _core.maximum(core, view.drain, window).value
    ring = None
    if found is not None and found.end < window.end:
        floor = max(_RING_FLOOR * abs(bus), 2.0 * view.band(view.drain, bus - levels.drain_before))
        ring = _core.ring(core, view.drain, bus, floor, _core.Window(found.end, window.end))
    return {
        "peak_drain_voltage_pin": peak,
        "overshoot": peak - bus,
        "minimum_gate_voltage_pin": _core.minimum(core, view.gate, window).value,
        "ring_frequency": ring.frequency if ring else math.nan,
        "ring_decay_time": ring.decay_time if ring else math.nan,
        "ring_quality": ring.quality if ring else math.nan,
    }


def _moved(waveform: Waveform, channel: str, skew: float) -> Waveform:
    """A channel earlier by `skew` [s], on the nodes of both, where all of it is known."""
    if channel not in waveform.units:
        raise InputError(
            [InputProblem("current", repr(channel), "no such channel.", ", ".join(waveform.units))]
        )
    nodes = np.unique(np.concatenate([waveform.times, waveform.times - skew]))
    begin, end = max(waveform.begin, waveform.begin - skew), min(waveform.end, waveform.end - skew)
    times = nodes[(nodes >= begin) & (nodes <= end)]
    times = times[np.append(True, np.diff(times) > 1e-6 * np.median(np.diff(times)))]
    values = {
        name: waveform.value(
            name, np.clip(times + skew, waveform.begin, waveform.end) if name == channel else times
        )
        for name in waveform.units
    }
    return Waveform.from_samples(times, values, waveform.units)
