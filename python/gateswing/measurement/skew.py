"""By how much the current of a capture is late against the voltage, and what that does to energies.

While the current rises at a turn-on, the freewheel diode holds the switch node, and the voltage at the pins
is

    v_DS(t) = V - L di/dt - R i,    i(t) = i_D(t + delay) + i_snubber(t),

the inductive step. A snubber's current does not flow through the drain pin, but follows from v_DS. V, L and R
are unknown but constant, so the delay of the current is the one with which V, L and R, by least squares,
bring the right-hand side nearest to v_DS (deskew by the inductive step: common practice without a source).
Both channels go through the same smoothing filter, which changes nothing in the equation. What remains is the
difference of the channels' own responses: one of less bandwidth is late, too.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

import numpy as np
from numpy.typing import NDArray

from ..capture import Capture
from ..capture.resampling import moved_earlier
from ..circuit.cell import Snubber
from ..errors import InputError, InputProblem, shown
from ..figures import Figures, Meaning
from ..model import Quantity, argument, between, positive
from ..quantities import format_quantity
from ..waveforms.waveform import Waveform
from .edges import MeasuredEdge, MeasuredTurnOn, measure_edges
from .probe import through
from .quiet import is_gapless, sample_times, samples_of
from .view import NORMAL_95, View

if TYPE_CHECKING:
    import xarray as xr

__all__ = ["Skew", "energy_against_skew", "estimate_skew"]

Floats = NDArray[np.float64]

_ASSUMED = Quantity("s", "Assumed delay of the current.", allowed=between(-1e-3, 1e-3))
_REACH = Quantity("s", "Largest delay looked for.", allowed=positive(1e-6))
_RISEN = 0.85  # of the test current: beyond it the diode no longer holds the node
_BEFORE = 0.5  # of the current's rise, at rest before it
_WIDTH = 0.25  # of the rise, over which is smoothed
_LEAST_SAMPLES = 8  # in the rise
_ROUNDING = 1e-9  # of a record
_STEPS = 4  # delays tried in a sample
_ROUNDS = 3  # each with the window that belongs to the last delay
_REPETITIONS = 24  # with other noise, for the uncertainty
# [s], half of the interval, for the capacitances that take current beside the equation (measured on cells of
# known skew and next to no noise: 0 to 100 ps).
_EQUATION = 0.1e-9


@dataclass(frozen=True, repr=False)
class Skew(Figures):
    """A delay that was found. It is not applied: give it to a :class:`gateswing.Trace` as its delay."""

    delay: Annotated[float, Meaning("s", "by which i_D is late against v_DS")]
    uncertainty: Annotated[float, Meaning("s", "half of its 95 % interval, by noise and equation")]
    loop_inductance: Annotated[float, Meaning("H", "by which v_DS falls per slope of i_D, leads included")]


def estimate_skew(
    capture: Capture | Waveform,
    *,
    gate: str = "v_gs_pin",
    drain: str = "v_ds_pin",
    current: str = "i_d",
    snubber: Snubber | None = None,
    reach: float | str = "5 ns",
) -> Skew:
    """The delay of the current against v_DS, from the inductive step of the first turn-on.

    For a cell that is known, :func:`gateswing.estimate` finds it from both edges at once and surer: of 22
    drawn captures, three had their skew beyond this function's interval, one of them by 0.6 ns.

    Args:
        capture: of a turn-on with an inductive load and a freewheel diode.
        gate: its channel of v_GS.
        drain: its channel of v_DS.
        current: its channel of i_D.
        snubber: across the switch; without it, its current in the loop is taken for a delay.
        reach: largest delay to either side that is looked for [s].

    Raises:
        InputError: a channel or a turn-on is missing, the current rises within too few samples, the reach is
            less than two of them, or the best delay lies at its end.
    """
    most = argument("reach", reach, _REACH)
    waveform = capture.waveform() if isinstance(capture, Capture) else capture
    if current not in waveform.units:
        raise InputError(
            [InputProblem("current", repr(current), "no such channel.", ", ".join(waveform.units))]
        )
    edges = measure_edges(waveform, gate=gate, drain=drain, current=current)
    edge = next((one for one in edges if isinstance(one, MeasuredTurnOn) and one.test_current > 0.0), None)
    if edge is None:
        raise InputError([InputProblem("capture", None, "shows no turn-on of a current.")])
    view = View(waveform, gate, drain, current, None, None).without_noise()
    if most < 2.0 * view.interval:
        allowed = f"{format_quantity(2.0 * view.interval, 's')} and more"
        raise InputError(
            [InputProblem("reach", shown(reach), "less than two intervals of sampling.", allowed)]
        )
    step = _step_of(view, edge, snubber)
    delay, inductance = step.best(step.voltage, step.current, most)
    if abs(delay) > most - step.interval:
        hint = "Give more reach; or the loop is too small for its inductive step to be seen in the noise."
        raise InputError([InputProblem("capture", None, "no delay within the reach is best.", hint=hint)])
    return Skew(delay, math.hypot(NORMAL_95 * step.deviation(most), _EQUATION), inductance)


@dataclass(frozen=True)
class _Step:
    """Samples around the rise of the current.

    Attributes:
        voltage, current: without most of their noise, shape (samples,).
        noise: standard deviation of that of both.
        interval: from sample to sample [s].
        width: samples that are smoothed over.
        low, high: of the current, between which it rises [A].
        snubber: across the switch.
    """

    voltage: Floats
    current: Floats
    noise: tuple[float, float]
    interval: float
    width: int
    low: float
    high: float
    snubber: Snubber | None

    def best(self, voltage: Floats, current: Floats, reach: float) -> tuple[float, float]:
        """Delay [s] and inductance [H] with which the equation holds best."""
        from scipy.signal import savgol_filter  # type: ignore[import-untyped]

        v, i = (savgol_filter(one, self.width, 2) for one in (voltage, current))
        slope = savgol_filter(current, self.width, 2, deriv=1, delta=self.interval)
        beside = self._snubber_current(v)
        places = np.arange(len(v), dtype=np.float64)
        delays = np.arange(-reach, reach, self.interval / _STEPS)
        delay, inductance = 0.0, math.nan
        for _ in range(_ROUNDS):
            inside = self._window(np.interp(places + delay / self.interval, places, i))
            found = [self._misfit(places[inside], v, (i, slope), beside, one) for one in delays]
            misfits = np.array([one[0] for one in found])
            at = int(np.clip(np.argmin(misfits), 1, len(delays) - 2))
            left, middle, right = misfits[at - 1 : at + 2].tolist()  # of infinite ones the bend is NaN
            bend = left - 2.0 * middle + right
            shift = 0.5 * (left - right) / bend if 0.0 < bend < math.inf else 0.0
            delay = float(delays[at] + np.clip(shift, -1.0, 1.0) * self.interval / _STEPS)
            inductance = found[at][1]
        return delay, inductance

    def deviation(self, reach: float) -> float:
        """Standard deviation of the delay [s], by repetition with noise of the same size."""
        rng = np.random.default_rng(0)

        def noisy(values: Floats, sigma: float) -> Floats:
            return values + sigma * rng.standard_normal(len(values))

        found = [
            self.best(noisy(self.voltage, self.noise[0]), noisy(self.current, self.noise[1]), reach)[0]
            for _ in range(_REPETITIONS)
        ]
        return float(np.std(found, ddof=1))

    def _window(self, current: Floats) -> NDArray[np.bool_]:
        """The rise, and half as long at rest before it."""
        end = int(np.argmax(current > self.high))
        begin = end - int(np.argmax(current[end::-1] < self.low))
        places = np.arange(len(current))
        return np.asarray((places >= begin - _BEFORE * (end - begin) - self.width) & (places <= end))

    def _snubber_current(self, voltage: Floats) -> tuple[Floats, Floats]:
        """Current [A] and its slope [A/s]."""
        if self.snubber is None:
            return np.zeros_like(voltage), np.zeros_like(voltage)
        r, c = self.snubber.resistance, self.snubber.capacitance
        held = through(voltage, [r * c, 1.0], self.interval) if r else voltage
        current = c * np.gradient(held, self.interval)
        return current, np.gradient(current, self.interval)

    def _misfit(
        self,
        places: Floats,
        v: Floats,
        drain: tuple[Floats, Floats],
        beside: tuple[Floats, Floats],
        delay: float,
    ) -> tuple[float, float]:
        """Sum of squares [V^2], infinite for a negative inductance, and inductance [H]."""
        every = np.arange(len(v), dtype=np.float64)
        late = places + delay / self.interval
        at = places.astype(int)
        i, slope = (np.interp(late, every, one) + more[at] for one, more in zip(drain, beside, strict=True))
        matrix = np.column_stack([np.ones(len(places)), slope, i])
        scale = np.maximum(np.abs(matrix).max(axis=0), 1e-300)
        target = v[at]
        solution, *_ = np.linalg.lstsq(matrix / scale, target, rcond=None)
        residual = target - matrix / scale @ solution
        inductance = -float(solution[1] / scale[1])
        return float(residual @ residual) if inductance > 0.0 else math.inf, inductance


def _step_of(view: View, edge: MeasuredTurnOn, snubber: Snubber | None) -> _Step:
    times = sample_times(view.waveform)
    inside = (times >= edge.begin) & (times <= edge.end)
    assert view.current is not None
    v, i = (samples_of(view.waveform, name)[inside] for name in (view.drain, view.current))
    i = i - edge.current_offset
    high = _RISEN * edge.test_current
    low = max(0.05 * edge.test_current, 2.0 * float(np.max(view.deviations.get(view.current, 0.0))))
    end = int(np.argmax(i > high))
    rise = int(np.argmax(i[end::-1] < low))
    if rise < _LEAST_SAMPLES:
        reason = f"the current rises within {rise} samples."
        hint = "Sample faster; or, for a cell that is known, gateswing.estimate finds it from both edges."
        raise InputError([InputProblem("capture", None, reason, f"{_LEAST_SAMPLES} and more", hint)])
    noise = (view.noise.get(view.drain, 0.0), view.noise.get(view.current, 0.0))
    width = max(5, 2 * int(_WIDTH * rise / 2) + 1)
    return _Step(v, i, noise, view.interval, width, low, high, snubber)


def energy_against_skew(
    waveform: Waveform, skews: Sequence[float | str], *, current: str = "i_d", **options: Any
) -> xr.Dataset:
    """Energies of every edge if the current were late by so much against the voltage, and were moved back.

    Args:
        waveform: of a capture, or of a simulation to see how much a skew would matter.
        skews: assumed delays of the current [s].
        current: the channel that is moved.
        options: of :func:`measure_edges`.

    Returns:
        ``energy`` and ``total_energy`` [J] over ``edge``, those at skew 0 counted from 0, and ``skew`` [s];
        NaN where the time that both channels show is without the edge, or without its energy.

    Raises:
        InputError: as :func:`measure_edges`, there is no skew, or one leaves nothing of the record.
    """
    import xarray as xr

    assumed = _assumed(skews)
    unmoved = _moved(waveform, current, 0.0)
    edges = measure_edges(unmoved, current=current, **options)
    values = np.full((2, len(edges), len(assumed)), np.nan)
    for column, skew in enumerate(assumed):
        moved = _moved(waveform, current, skew)
        found = measure_edges(moved, current=current, **options)
        for row, edge in enumerate(edges):
            same = _same(edge, found, moved)
            if same is not None:
                values[:, row, column] = same.energy, same.total_energy
    definitions = MeasuredEdge.definitions()
    data = {
        name: (("edge", "skew"), table, {"units": "J", "long_name": definitions[name]})
        for name, table in zip(("energy", "total_energy"), values, strict=True)
    }
    skew_axis = ("skew", np.asarray(assumed), {"units": "s", "long_name": "assumed delay of i_D"})
    return xr.Dataset(data, coords={"edge": np.arange(len(edges)), "skew": skew_axis})


def _assumed(skews: Sequence[float | str]) -> list[float]:
    if isinstance(skews, str) or not np.iterable(skews):
        raise InputError([InputProblem("skews", shown(skews), "not a list of times.")])
    assumed = [argument("skews", skew, _ASSUMED) for skew in skews]
    if not assumed:
        raise InputError([InputProblem("skews", None, "none is given.", hint="Give at least one.")])
    return assumed


def _same(edge: MeasuredEdge, found: Sequence[MeasuredEdge], record: Waveform) -> MeasuredEdge | None:
    """The edge again, in a record that may hold less; v_GS and v_DS are where they were."""
    if record.begin > edge.gate_time or record.end < edge.drain_end:
        return None

    def shared(other: MeasuredEdge) -> float:
        return min(edge.end, other.end) - max(edge.begin, other.begin)

    alike = [other for other in found if type(other) is type(edge) and shared(other) > 0.0]
    return max(alike, key=shared, default=None)


def _moved(waveform: Waveform, channel: str, skew: float) -> Waveform:
    """A channel earlier by `skew` [s], on the nodes of the others, where all of it is known."""
    if channel not in waveform.units:
        raise InputError(
            [InputProblem("current", repr(channel), "no such channel.", ", ".join(waveform.units))]
        )
    begin, end = max(waveform.begin, waveform.begin - skew), min(waveform.end, waveform.end - skew)
    own = sample_times(waveform)
    if waveform.core.degree == 1 and is_gapless(own):
        inside = (own >= begin) & (own <= end)
        _require_record(waveform, skew, int(inside.sum()))
        columns = {name: samples_of(waveform, name) for name in waveform.units}
        columns[channel] = moved_earlier(own, columns[channel], skew)
        kept = {name: column[inside] for name, column in columns.items()}
        return Waveform.from_samples(own[inside], kept, waveform.units)
    nodes = np.unique(np.concatenate([waveform.times, waveform.times - skew]))
    times = nodes[(nodes >= begin) & (nodes <= end)]
    _require_record(waveform, skew, len(times))
    times = times[np.append(True, np.diff(times) > 1e-6 * np.median(np.diff(times)))]
    values = {
        name: waveform.value(
            name, np.clip(times + skew, waveform.begin, waveform.end) if name == channel else times
        )
        for name in waveform.units
    }
    return Waveform.from_samples(times, values, waveform.units)


def _require_record(waveform: Waveform, skew: float, samples: int) -> None:
    """Refuse a skew that leaves no two samples, or what rounding makes of their times."""
    length = waveform.end - waveform.begin
    if samples < 2 or abs(skew) > (1.0 - _ROUNDING) * length:
        reason, allowed = (
            "leaves nothing of the record.",
            f"within {format_quantity(length, 's')} to either side",
        )
        raise InputError([InputProblem("skews", format_quantity(skew, "s"), reason, allowed)])
