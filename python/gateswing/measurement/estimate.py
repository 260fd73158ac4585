"""Parasitics, driver and capacitances of a cell, estimated from a capture of its edges.

By bounded least squares over the double pulse as the instrument shows it, from several starts; see
:mod:`gateswing.measurement.model` for the equation. With the columns of the Jacobian that belong to the
instrument projected out, the rest, A, says what the samples tell about the unknowns: along a direction with
the singular value s the logarithms of the unknowns are known to a standard deviation of 1/s (Cramer and Rao:
no unbiased method does better in white noise of that size). Where residuals are larger than the noise, or
correlated, the intervals are widened by the estimator of Newey and West, Econometrica 55(3), 703-708 (1987).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..capture import Capture
from ..capture.quality import converter_step, noise_of
from ..circuit.capacitance import DepletionCapacitance, StepCapacitance
from ..circuit.cell import LowSideCell
from ..errors import InputError, InputProblem
from ..hand_formulas.circuit import HandCircuit
from ..model import Quantity, argument, at_least, positive
from ..tolerance.spreads import Spread, distributions
from ..waveforms.alignment import find_event
from ..waveforms.crossings import swing_passages
from ..waveforms.waveform import Waveform
from .edges import MeasuredTurnOff, measure_edges
from .model import CHANNELS, BenchModel, InstrumentErrors, Samples, Unknown
from .probe import Probe
from .report import Estimation, estimation_of
from .view import sample_times, samples_of

__all__ = ["estimate"]

Floats = NDArray[np.float64]
Bounds = tuple[float | str, float | str]

_GAIN = Quantity("", "Standard deviation of a channel's scale.", allowed=positive(1.0))
_SKEW = Quantity("s", "Standard deviation of a channel's delay against v_DS.", allowed=positive(1e-6))
_FACTOR = Quantity("", "Factor of a capacitance.", allowed=positive(1e3))
_CURRENT = Quantity("A", "Load current at the edges.", allowed=positive(2e3), usual=at_least(1e-3, 300.0))
_CURRENT_RANGE = 1.5  # over and under the measured current
_LEAST_NOISE = 3e-4  # of a channel's range: the model itself is not sampled better
_TOLERANCE = 1e-5  # of the integrator: thirty times better than what is sampled
# Noise over the converter's step, both together, from which on the mean of many samples lies between the
# steps: an own noise of half a step leaves 1 % of a step.
_LEVELS_OUT = 0.58
_LOOP = "loop_inductance"
_LEAST_QUALITY = 3.0  # of a ring, for its frequency to be a start
_TRIED = 8  # designs between the bounds that are looked at before the search, a power of two
_SETTLING = 8  # evaluations to adapt the instrument to each of them
# On its way a search sees the edges blurred, then a few cycles of the ring, and in the end all: a ring has
# many cycles to which a search could lock. Blur as a share of the shortest transition and of the ring's
# period; memory in periods.
_BLUR, _RING_BLUR = 0.4, 0.35
_MEMORIES = (1.5, 5.0)
# Relative change of the cost and change of x at which a search ends, and the most evaluations.
_ON_THE_WAY, _LAST = (1e-3, 3e-3, 10), (1e-5, 1e-4, 40)
_GOOD = 1.5  # sum of squares over the number of samples, below which no other start is tried


def estimate(
    cell: LowSideCell,
    capture: Capture | Waveform,
    unknowns: Mapping[str, Bounds],
    *,
    probe: Probe | Mapping[str, Probe] | None = None,
    current: float | str | None = None,
    gain_error: float | str = "2 %",
    skew_error: float | str = "2 ns",
    starts: int = 4,
    relative_tolerance: float = _TOLERANCE,
) -> Estimation:
    """Estimate quantities of a cell from a capture of one turn-on and the turn-off after it.

    Args:
        cell: the circuit as far as it is known; its values are the first start.
        capture: with ``v_gs_pin``, ``v_ds_pin`` and best ``i_d``, a few tens of nanoseconds before the first
            edge until the ring after the second.
        unknowns: bounds by dotted path, such as ``{"loop_inductance": ("2 nH", "100 nH")}``. A capacitance as
            a whole, such as ``mosfet.gate_drain_capacitance``, is scaled, and its bounds are factors.
        probe: through which all channels were seen, or one for each channel; left out: an instrument that
            shows everything. What it loads the circuit with belongs into the cell (:meth:`Probe.loaded`).
        current: in the load at the turn-on [A]. Left out, the current of an inductive load is estimated
            along.
        gain_error: standard deviation of the scale of each channel, relative.
        skew_error: standard deviation of the delay of v_GS and i_D against v_DS [s].
        starts: most searches that are made; no further one is after one that explains the capture.
        relative_tolerance: of the integrator.

    Returns:
        Values with 95 % intervals, and in words what the capture does not tell.

    Raises:
        InputError: an unknown or a bound cannot be, the capture lacks a channel or an edge, or no design
            between the bounds can be simulated.
    """
    errors = InstrumentErrors(
        argument("gain_error", gain_error, _GAIN), argument("skew_error", skew_error, _SKEW)
    )
    if starts < 1:
        raise InputError([InputProblem("starts", repr(starts), "out of range.", "1 and more")])
    waveform = capture.waveform() if isinstance(capture, Capture) else capture
    _check_channels(waveform)
    wanted = [_unknown(cell, path.replace("__", "."), ends) for path, ends in unknowns.items()]
    if not wanted:
        raise InputError([InputProblem("unknowns", "{}", "no fields.", hint="Give at least one.")])
    given = None if current is None else argument("current", current, _CURRENT)
    if given is None and cell.load.inductance > 0.0 and "i_d" in waveform.units:
        wanted.append(_load_current(waveform))
    timing = _timing(waveform)
    # The command "off" comes before the gate shows it, by less than the pulse is long.
    pulse = {"off_time": timing.end - timing.on} | ({} if given is None else {"current": given})
    probes = dict.fromkeys(CHANNELS, probe) if isinstance(probe, Probe) else dict(probe or {})
    samples = _samples(waveform, timing)
    seen = {name: one for name, one in probes.items() if name in samples.values}
    model = BenchModel(cell, wanted, samples, pulse, seen, errors, relative_tolerance)
    found = _searched(model, timing, starts)
    return estimation_of(model, [one.x for one in found], [one.cost for one in found])


class _Timing(NamedTuple):
    """Of a capture [s].

    Attributes:
        on, off: quarter steps of the gate.
        begin, end: of the part of the record that belongs to them.
        switched: ends of both transitions of v_DS.
        transition: the shorter one of v_DS.
        period: of the ring, 0 without one.
    """

    on: float
    off: float
    begin: float
    end: float
    switched: tuple[float, float]
    transition: float
    period: float


class _Found(NamedTuple):
    """Where a search ended, and half the sum of the squared residuals there."""

    cost: float
    x: Floats


def _check_channels(waveform: Waveform) -> None:
    missing = [name for name in CHANNELS[:2] if name not in waveform.units]
    if missing:
        known = ", ".join(waveform.units)
        hint = "Name the channels by read_capture(channels=...)."
        raise InputError(
            [InputProblem("capture", repr(name), "no such channel.", known, hint) for name in missing]
        )
    if waveform.core.degree > 1:
        raise InputError([InputProblem("capture", None, "a simulation, not samples.")])


def _unknown(cell: LowSideCell, path: str, ends: Bounds) -> Unknown:
    value = cell.value_at(path)
    if isinstance(value, DepletionCapacitance | StepCapacitance):
        low, high = (
            argument(f"{path}.{name}", end, _FACTOR)
            for name, end in zip(("minimum", "maximum"), ends, strict=True)
        )
        if not low < high:
            raise InputError([InputProblem(path, f"{low:g}, {high:g}", "bounds must ascend.")])
        parts = tuple(f"{path}.{name}" for name, _, kind in value.quantities() if kind.unit == "F")
        return Unknown(path, "", low, high, float(np.clip(1.0, low, high)), parts)
    spread = Spread(minimum=ends[0], maximum=ends[1], shape="log_uniform")
    (found,) = distributions(cell, {path: spread})
    return Unknown(path, found.kind.unit, found.low, found.high, found.typical)


def _load_current(waveform: Waveform) -> Unknown:
    edges = measure_edges(waveform)
    found = next((edge.test_current for edge in edges if edge.test_current > 0.0), math.nan)
    if math.isnan(found):
        reason = "cannot be read from i_d."
        raise InputError([InputProblem("current", None, reason, hint="Give the load current.")])
    return Unknown("current", "A", found / _CURRENT_RANGE, found * _CURRENT_RANGE, found)


def _timing(waveform: Waveform) -> _Timing:
    steps = swing_passages(waveform, "v_gs_pin")
    first = next((place for place, step in enumerate(steps[:-1]) if step.rising), None)
    if first is None:
        reason = "shows no turn-on with a turn-off after it."
        raise InputError([InputProblem("capture", None, reason)])
    begin = 0.5 * (steps[first - 1].time + steps[first].time) if first else waveform.begin
    last = first + 1
    end = 0.5 * (steps[last].time + steps[last + 1].time) if last + 1 < len(steps) else waveform.end
    on, off = (find_event(waveform, "gate", edge).time for edge in (first, last))
    edges = measure_edges(waveform)[first : last + 1]
    switched, lengths, period = [on, off], [], 0.0
    for place, edge in enumerate(edges):
        if math.isfinite(edge.drain_end):
            switched[place] = max(switched[place], edge.drain_end)
            lengths.append(edge.drain_end - edge.drain_begin)
        if isinstance(edge, MeasuredTurnOff) and edge.ring_quality > _LEAST_QUALITY:
            period = 1.0 / edge.ring_frequency
    shorter = min([*lengths, off - on])
    return _Timing(on, off, begin, end, (switched[0], switched[1]), shorter, period)


def _samples(waveform: Waveform, timing: _Timing) -> Samples:
    times = sample_times(waveform)
    inside = (times >= timing.begin) & (times <= timing.end)
    names = [name for name in CHANNELS if name in waveform.units]
    raw = {name: samples_of(waveform, name)[inside] for name in names}
    deviations = {name: _deviations(values) for name, values in raw.items()}
    kept = times[inside]
    after = np.where(kept < timing.off, kept - timing.switched[0], kept - timing.switched[1])
    return Samples(kept, raw, deviations, np.maximum(after, 0.0), float(np.median(np.diff(kept))))


def _deviations(values: Floats) -> Floats:
    """Of each sample by noise and converter.

    Where the noise is too small to level out the converter's steps, equal samples in a row repeat one error
    and count as one.
    """
    noise = max(noise_of(values), _LEAST_NOISE * float(np.ptp(values)))
    step = converter_step(values)
    if noise > _LEVELS_OUT * step:
        return np.full(len(values), noise)
    starts = np.flatnonzero(np.append(True, np.diff(values) != 0.0))
    lengths = np.diff(np.append(starts, len(values)))
    return np.asarray(noise * np.sqrt(np.repeat(lengths, lengths)))


def _searched(model: BenchModel, timing: _Timing, starts: int) -> list[_Found]:
    """Ends of the searches, the best first."""
    found: list[_Found] = []
    for x, ways in islice(_attempts(model, timing), starts):
        found.append(_refined(model, x, ways))
        if found[-1].cost < _GOOD * 0.5 * len(model.samples.times) * len(model.channels):
            break
    if not found:
        raise InputError([InputProblem("unknowns", None, "no design between the bounds can be simulated.")])
    return sorted(found, key=lambda one: one.cost)


def _attempts(model: BenchModel, timing: _Timing) -> Iterator[tuple[Floats, list[tuple[float, float]]]]:
    """Starts with the way from there: what the caller holds to be true, then the best of a few drawn."""
    own = [one.start for one in model.unknowns]
    for several in ([_by_ring(model, own, timing)], _drawn_values(model)):
        model.look(_BLUR * timing.transition)
        tried = [one for values in several if (one := _settled(model, values, timing)) is not None]
        if tried:
            best = min(tried, key=lambda one: one.cost).x
            yield best, _straight(timing)
            yield best, _careful(timing)


def _straight(timing: _Timing) -> list[tuple[float, float]]:
    """Blur and memory [s] of each search on the way: the edges blurred."""
    return [(_BLUR * timing.transition, math.inf)]


def _careful(timing: _Timing) -> list[tuple[float, float]]:
    """Likewise: the rings blurred, too, then their first cycles, then some more."""
    blur = max(_BLUR * timing.transition, _RING_BLUR * timing.period)
    return [(blur, math.inf), *((0.0, cycles * timing.period) for cycles in _MEMORIES if timing.period)]


def _refined(model: BenchModel, x: Floats, ways: list[tuple[float, float]]) -> _Found:
    """The end of a search from x on the way described, and then over everything."""
    from scipy.optimize import least_squares  # type: ignore[import-untyped]

    low, high = _limits(model)
    for blur, memory in [*ways, (0.0, math.inf)]:
        model.look(blur, memory)
        final = blur == 0.0 and memory == math.inf
        cost, step, evaluations = _LAST if final else _ON_THE_WAY
        result = least_squares(
            model.residuals, np.clip(x, low + 1e-9, high - 1e-9), model.slopes, (low, high), x_scale="jac",
            ftol=cost, xtol=step / float(np.linalg.norm(x)), gtol=None, max_nfev=evaluations,
        )  # fmt: skip
        x = np.asarray(result.x)
    return _Found(float(result.cost), x)


def _drawn_values(model: BenchModel) -> list[list[float]]:
    """A Sobol sequence between the bounds by their logarithms, with the load current as measured."""
    from scipy.stats import qmc  # type: ignore[import-untyped]

    cube = qmc.Sobol(model.count, seed=np.random.default_rng(0)).random(_TRIED)
    drawn = [
        [one.low * (one.high / one.low) ** share for one, share in zip(model.unknowns, row, strict=True)]
        for row in cube
    ]
    for values in drawn:
        for place, one in enumerate(model.unknowns):
            if one.path == "current":
                values[place] = one.start
    return drawn


def _by_ring(model: BenchModel, values: list[float], timing: _Timing) -> list[float]:
    """The same with the loop inductance that gives the cell's ring the frequency of the capture's."""
    paths = [one.path for one in model.unknowns]
    if not timing.period or _LOOP not in paths:
        return values
    edges = model.simulated(model.start(values, timing.off - timing.on, 0.0))
    seen = edges.turn_off
    if not (edges.succeeded and seen.ring_quality > _LEAST_QUALITY):
        return values
    total = HandCircuit(edges.cell, edges.current).ring_inductance.value
    place = paths.index(_LOOP)
    wanted = values[place] + total * ((seen.ring_frequency * timing.period) ** 2 - 1.0)
    unknown = model.unknowns[place]
    return [
        float(np.clip(wanted, unknown.low, unknown.high)) if path == _LOOP else value
        for path, value in zip(paths, values, strict=True)
    ]


def _settled(model: BenchModel, values: Sequence[float], timing: _Timing) -> _Found | None:
    """Begin, skews, gains and offsets that suit values of the unknowns best."""
    from scipy.optimize import least_squares

    x = model.start(values, timing.off - timing.on, 0.0)
    try:
        edges = model.simulated(x)
        on, off = (find_event(edges.waveform, "gate", edge).time for edge in (0, 1))
    except InputError:  # it cannot be simulated, or the gate does not switch
        return None
    on_time = edges.on_time + (timing.off - timing.on) - (off - on)
    if on_time <= 0.0:
        return None
    x = model.start(values, on_time, timing.on - on)
    fixed = model.count + 1

    def whole(free: Floats) -> Floats:
        return np.concatenate([x[:fixed], free])

    result = least_squares(
        lambda free: model.residuals(whole(free)), x[fixed:],
        lambda free: model.slopes(whole(free), instrument_only=True)[:, fixed:], x_scale="jac",
        max_nfev=_SETTLING,
    )  # fmt: skip
    return _Found(float(result.cost), whole(result.x))


def _limits(model: BenchModel) -> tuple[Floats, Floats]:
    free = np.full(len(model.names) - model.count, np.inf)
    # The pulse has a length.
    low = np.concatenate([np.log([one.low for one in model.unknowns]), [0.0], -free[1:]])
    return low, np.concatenate([np.log([one.high for one in model.unknowns]), free])
