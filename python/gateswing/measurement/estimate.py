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
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..capture import Capture
from ..capture.quality import converter_step, noise_of
from ..circuit.capacitance import DepletionCapacitance, StepCapacitance
from ..circuit.cell import LowSideCell
from ..errors import InputError, InputProblem, did_you_mean, shown
from ..figures import format_figure
from ..model import Model, Quantity, argument, at_least, by_path, counted, positive, require_model
from ..quantities import format_quantity
from ..studies.asking import FOR_A_BRIDGE, quiet_double_pulse
from ..sweeping.progress import Progress, searches_of
from ..waveforms.waveform import Waveform
from .edges import measure_edges
from .instrument import InstrumentErrors
from .model import CHANNELS, BenchModel, Samples, Unknown
from .probe import Probe
from .quiet import sample_times, samples_of
from .report import Estimation, estimation_of
from .search import searched
from .timing import Timing, timing_of

__all__ = ["estimate"]

Floats = NDArray[np.float64]
Bounds = tuple[float | str, float | str]

_GAIN = Quantity("", "Standard deviation of a channel's scale.", allowed=positive(1.0))
_SKEW = Quantity("s", "Standard deviation of a channel's delay against v_DS.", allowed=positive(1e-6))
# Bounds of a capacitance as a whole.
_FACTOR = Quantity("", "Factor of what the cell states.", allowed=positive(1e3))
_CURRENT = Quantity("A", "Load current at the edges.", allowed=positive(2e3), usual=at_least(1e-3, 300.0))
# Over and under the measured current: by so many deviations of the gain, and by what rings do to the reading.
_CURRENT_GAINS, _CURRENT_READING = 5.0, 0.03
_MOST_GATE = 60.0  # swing of a gate [V], twice what the strongest takes
_UNSEEN = 5.0  # over and under what the load would take, of a current that no channel shows
_LEAST_NOISE = 3e-4  # of a channel's range: the model itself is not sampled better
_TOLERANCE = 1e-5  # of the integrator: thirty times better than what is sampled
# Noise over the converter's step, both together, from which on the mean of many samples lies between the
# steps: an own noise of half a step leaves 1 % of a step.
_LEVELS_OUT = 0.58
_PROBE_HINT = 'Write it like gs.Probe(bandwidth="200 MHz").'


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
    progress: Progress | bool | None = None,
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
            along, from ``i_d`` or, without it, from what the voltages say.
        gain_error: standard deviation of the scale of each channel, relative.
        skew_error: standard deviation of the delay of v_GS and i_D against v_DS [s].
        starts: most searches that are made; no further one is after one that explains the capture.
        relative_tolerance: of the integrator.
        progress: called with the number of simulations and of the search, each counted from 1; ``True`` for a
            count in text, ``False`` for silence. Left out: a count in a terminal or a notebook, with tqdm.

    Returns:
        Values with 95 % intervals, and in words what the capture does not tell.

    Raises:
        InputError: an unknown, a bound or another argument cannot be, a probe is of no channel, the capture
            lacks a channel or an edge, or no design between the bounds can be simulated.
    """
    errors = InstrumentErrors(
        argument("gain_error", gain_error, _GAIN), argument("skew_error", skew_error, _SKEW)
    )
    starts = counted("starts", starts, 1)
    require_model("cell", cell, LowSideCell, FOR_A_BRIDGE)
    waveform = capture.waveform() if isinstance(capture, Capture) else capture
    _check_channels(waveform)
    probes = _probes(probe)
    wanted = _wanted(cell, unknowns)
    given = None if current is None else argument("current", current, _CURRENT)
    if given is None and cell.load.inductance > 0.0:
        is_seen = "i_d" in waveform.units
        wanted.append(_load_current(waveform, errors.gain) if is_seen else _unseen_current(cell))
    timing = timing_of(waveform)
    # The command "off" comes before the gate shows it, by less than the pulse is long.
    pulse = {"off_time": timing.end - timing.on} | ({} if given is None else {"current": given})
    samples = _samples(waveform, timing)
    seen = {name: one for name, one in probes.items() if name in samples.values}
    model = BenchModel(cell, wanted, samples, pulse, seen, errors, relative_tolerance)
    with searches_of(progress, starts) as count:
        found = searched(model, timing, starts, count)
        return estimation_of(model, [one.x for one in found], [one.cost for one in found])


def _check_channels(waveform: Waveform) -> None:
    problems = []
    for name in CHANNELS[:2]:
        if name not in waveform.units:
            known, column = ", ".join(waveform.units), next(iter(waveform.units))
            hint = f"If it is one of these, say so: read_capture(channels={{{name!r}: {column!r}}})."
            problems.append(InputProblem("capture", None, f"has no channel {name!r}.", known, hint))
        elif name == CHANNELS[0] and np.ptp(waveform.values(name)) > _MOST_GATE:
            swing = format_figure(float(np.ptp(waveform.values(name))), "V", 3)
            reason = f"{name} swings by {swing}, more than a gate takes."
            problems.append(InputProblem("capture", None, reason, hint="Is it v_ds_pin?"))
    if waveform.core.degree > 1:
        problems.append(InputProblem("capture", None, "is a simulation, not samples."))
    if problems:
        raise InputError(problems)


def _probes(probe: Any) -> dict[str, Probe]:
    """Of each channel."""
    if probe is not None and not isinstance(probe, Mapping):
        require_model("probe", probe, Probe, _PROBE_HINT)
        probe = dict.fromkeys(CHANNELS, probe)
    probes = dict(probe or {})
    unknown = [name for name in probes if name not in CHANNELS]
    if unknown:
        raise InputError(
            InputProblem(
                f"probe.{name}", None, "no channel.", ", ".join(CHANNELS), did_you_mean(name, CHANNELS)
            )
            for name in unknown
        )
    for name, one in probes.items():
        require_model(f"probe.{name}", one, Probe, _PROBE_HINT)
    return probes


def _wanted(cell: LowSideCell, unknowns: object) -> list[Unknown]:
    """The unknowns, or an error that names all that cannot be."""
    if not isinstance(unknowns, Mapping):
        hint = 'Give {"PATH": ("LOW", "HIGH")}.'
        raise InputError([InputProblem("unknowns", shown(unknowns), "no bounds by path.", hint=hint)])
    found, problems = [], []
    for path, ends in by_path(unknowns).items():
        try:
            found.append(_unknown(cell, path, ends))
        except InputError as error:
            problems += [problem.below("unknowns") for problem in error.problems]
    if not unknowns:
        problems.append(InputProblem("unknowns", "{}", "no fields.", hint="Give at least one."))
    if problems:
        raise InputError(problems)
    return found


def _unknown(cell: LowSideCell, path: str, ends: Bounds) -> Unknown:
    value = cell.value_at(path)
    if isinstance(ends, str) or not isinstance(ends, Sequence | np.ndarray) or len(ends) != 2:
        raise InputError(
            [InputProblem(path, shown(ends), "not a pair of bounds.", hint='Give ("LOW", "HIGH").')]
        )
    if isinstance(value, DepletionCapacitance | StepCapacitance):
        low, high = _ends(path, ends, _FACTOR, "A capacitance as a whole has factors: 0.5 to 2.")
        parts = tuple(f"{path}.{name}" for name, _, kind in value.quantities() if kind.unit == "F")
        return Unknown(path, "", low, high, float(np.clip(1.0, low, high)), parts)
    owner, _, field = path.rpartition(".")
    part = cell.value_at(owner) if owner else cell
    kind = part.quantity_of(field)
    if kind is None:
        raise InputError([_no_number(path, value)])
    low, high = _ends(path, ends, kind)
    start = value if value is not None and low <= value <= high else math.sqrt(low * high)
    return Unknown(path, kind.unit, low, high, start)


def _no_number(path: str, value: object) -> InputProblem:
    if not isinstance(value, Model):
        return InputProblem(path, None, "is left out of the cell, or no number.")
    fields = [name for name in type(value).model_fields if value.quantity_of(name)]
    one = f"{path}.{fields[0]}" if fields else f"{path}.FIELD"
    return InputProblem(path, None, "is no number.", hint=f"Name a field of it, such as {one}.")


def _ends(path: str, ends: Bounds, kind: Quantity, hint: str = "") -> tuple[float, float]:
    """Both bounds in SI units, above zero and in order."""
    try:
        low, high = (
            argument(f"{path}.{name}", end, kind) for name, end in zip(("low", "high"), ends, strict=True)
        )
    except InputError as error:
        raise InputError(
            InputProblem(one.path, one.value, one.reason, one.allowed, one.hint or hint)
            for one in error.problems
        ) from None
    if not 0.0 < low < high:
        given = " to ".join(format_quantity(end, kind.unit) for end in (low, high))
        raise InputError([InputProblem(path, given, "bounds must be above zero and ascend.")])
    return low, high


def _load_current(waveform: Waveform, gain_error: float) -> Unknown:
    seen = [edge.test_current for edge in measure_edges(waveform)]
    found = next((current for current in seen if current > 0.0), math.nan)
    if math.isnan(found):
        reason = "the load current cannot be read from i_d."
        hint = "Give current=."
        lowest = min((current for current in seen if current < 0.0), default=0.0)
        if lowest:
            reason = f"i_d has {format_figure(lowest, 'A')} in the on-state: the probe looks inverted."
            hint = "Turn it round by a negative scale."
        raise InputError([InputProblem("capture", None, reason, hint=hint)])
    reach = 1.0 + _CURRENT_GAINS * gain_error + _CURRENT_READING
    return Unknown("current", "A", found / reach, found * reach, found)


def _unseen_current(cell: LowSideCell) -> Unknown:
    """Where no channel shows it, it is to be told by the plateau and the edges of the voltages."""
    start = quiet_double_pulse(cell).current
    return Unknown("current", "A", start / _UNSEEN, start * _UNSEEN, start)


def _samples(waveform: Waveform, timing: Timing) -> Samples:
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
