"""What a capture says about a cell: values with intervals, and what it does not tell."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ..cautions import ESTIMATE
from ..circuit.cell import LowSideCell
from ..errors import InputWarning
from ..figures import format_figure, json_value
from ..studies.results import DoublePulse
from ..tables import html_table, text_table
from ..waveforms.waveform import Waveform
from .doubts import doubts_of
from .edges import MeasuredTurnOn, measure_edges
from .fitted_edges import FigureEstimate, fitted_edges
from .interval import IntervalEstimate
from .model import BenchModel
from .overlay import Overlay, overlay
from .suspects import Suspect, suspect_of
from .view import NORMAL_95

if TYPE_CHECKING:
    from matplotlib.figure import Figure

__all__ = ["Estimate", "Estimation", "InstrumentEstimate", "estimation_of"]

Floats = NDArray[np.float64]

_TOLD = 0.25  # half width of an interval, in logarithms, up to which a direction counts as told
_OPEN = 3.0  # standard deviation of the logarithms along a direction that is not told: beyond all bounds
_PART = 0.1  # of the largest component of a direction, from which on a quantity is named with it
_MISFIT = 1.3  # residual over noise beyond which the model does not explain the capture
# Of a logarithm: what simulation and sampling add to the standard deviation of an estimate.
_NUMERICAL = 1e-4
_FAR = 4.0  # standard deviations of what is known about the instrument
_AT_BOUND = 0.01  # of the range of a logarithm
_SEEN = 0.015  # of the length of a column: less may be what bends of a capture leave of a mere shift
_LAGS = 30  # samples over which residuals are looked at for correlation
_AS_GOOD = 4.0  # of the cost: beside the best end of a search
_ELSEWHERE = 3.0  # standard deviations
_NOTHING_TOLD = (
    "The model does not explain the capture, so no interval holds: values are of the best attempt."
)
_HEADER = ("quantity", "value", "95 % interval", "state", "bounds")
_FIGURE_HEADER = ("edges of the fitted cell", "value", "95 %", "definition, of the circuit itself")
_INSTRUMENT_HEADER = ("instrument", "value", "95 %")


@dataclass(frozen=True)
class Estimate:
    """One unknown.

    Attributes:
        path: of the field of the cell, or ``current``.
        unit: in SI; empty for the factor of a capacitance.
        value: in that unit.
        low, high: 95 % interval, cut off at the bounds; NaN, printed as a dash, in a misfit.
        minimum, maximum: bounds.
        state: ``told``; ``at its bound``; ``not told`` where the interval is wider than 25 % to either side;
            ``misfit`` where the model does not explain the capture, so that no interval holds.
    """

    path: str
    unit: str
    value: float
    low: float
    high: float
    minimum: float
    maximum: float
    state: str

    @property
    def is_identified(self) -> bool:
        """Whether the capture tells it."""
        return self.state == "told"

    @property
    def is_at_bound(self) -> bool:
        """Whether the value is at one of its bounds, whatever the capture tells."""
        edge = math.exp(_AT_BOUND * math.log(self.maximum / self.minimum))
        return min(self.value / self.minimum, self.maximum / self.value) < edge

    @property
    def relative_uncertainty(self) -> float:
        """The larger side of the interval over the value; NaN in a misfit."""
        return max(self.high / self.value, self.value / self.low) - 1.0

    def cells(self) -> tuple[str, ...]:
        """The estimate as a row of a table."""
        ends, bounds = (
            "-" if math.isnan(low) else f"{format_figure(low, self.unit)} to {format_figure(high, self.unit)}"
            for low, high in ((self.low, self.high), (self.minimum, self.maximum))
        )
        return (self.path, format_figure(self.value, self.unit), ends, self.state, bounds)


@dataclass(frozen=True)
class InstrumentEstimate(IntervalEstimate):
    """What the fit found about the instrument, beginning of edges included.

    Attributes:
        name: such as ``skew of i_d``.
        unit: in SI.
        value: in that unit; a skew above zero is a channel that is late.
        uncertainty: half of the 95 % interval.
    """


@dataclass(frozen=True, repr=False)
class Estimation:
    """What a capture says about a cell.

    Attributes:
        cell: with the estimates.
        estimates: of each unknown.
        instrument: begins, skews, gains and offsets, fitted along.
        edges: of the fitted cell, at the load current of the capture.
        figures: of these. For a cell whose equations are right they are nearer to the truth
            than what is measured in the capture: noise, skew, bandwidth and gains are fitted away.
        correlations: of the logarithms of the unknowns, shape (unknowns, unknowns).
        misfit: rms of the residual over the noise, of each channel; 1 where the model explains all.
        not_told: what the capture leaves open, a sentence each.
        overlay: the fitted model as the instrument shows it, and the capture.
        simulations: that it took.
        warnings: what speaks against the answer.
    """

    cell: LowSideCell
    estimates: tuple[Estimate, ...]
    instrument: tuple[InstrumentEstimate, ...]
    edges: DoublePulse
    figures: tuple[FigureEstimate, ...]
    correlations: Floats
    misfit: Mapping[str, float]
    not_told: tuple[str, ...]
    overlay: Overlay
    simulations: int
    warnings: tuple[InputWarning, ...]

    def __getitem__(self, path: str) -> Estimate:
        """The estimate of the unknown at a path."""
        return {one.path: one for one in self.estimates}[path]

    def figure(self, name: str) -> FigureEstimate:
        """A figure of the fitted cell's edges, such as ``turn_on.energy``."""
        return {one.name: one for one in self.figures}[name]

    def skew(self, channel: str) -> InstrumentEstimate:
        """By how much a channel is late against v_DS."""
        return {one.name: one for one in self.instrument}[f"skew of {channel}"]

    @property
    def values(self) -> dict[str, float]:
        """The unknowns by path, in SI units."""
        return {one.path: one.value for one in self.estimates}

    def plot(self) -> Figure:
        """Draw model, capture and residual; see :func:`gateswing.plot.plot_overlay`."""
        figure = self.overlay.plot()
        title = "Model fitted to the capture, and what is left"
        figure.suptitle(title, x=0.01, ha="left", fontweight="bold", fontsize=10)
        return figure

    def to_mapping(self) -> dict[str, Any]:
        """Everything but the waveforms as plain data."""
        plain = [
            [{key: json_value(value) for key, value in vars(one).items()} for one in group]
            for group in (self.estimates, self.instrument, self.figures)
        ]
        return {
            "estimates": plain[0],
            "instrument": plain[1],
            "figures": plain[2],
            "correlations": self.correlations.tolist(),
            "misfit": dict(self.misfit),
            "not_told": list(self.not_told),
            "warnings": [{"path": one.path, "message": one.message} for one in self.warnings],
        }

    def _notes(self) -> list[str]:
        return [*self.not_told, *(f"warning: {one}" for one in self.warnings)]

    def _misfit_text(self) -> str:
        found = ", ".join(f"{name} {ratio:.2f}" for name, ratio in self.misfit.items())
        return f"Residual over noise: {found}. {self.simulations} simulations."

    def __repr__(self) -> str:
        tables = [
            text_table([one.cells() for one in self.estimates], _HEADER),
            text_table([one.cells() for one in self.instrument], _INSTRUMENT_HEADER),
            text_table([one.cells() for one in self.figures], _FIGURE_HEADER),
        ]
        return "\n\n".join([*tables, self._misfit_text(), *self._notes(), ESTIMATE])

    def _repr_html_(self) -> str:
        tables = [
            html_table([one.cells() for one in self.estimates], _HEADER, self._misfit_text()),
            html_table([one.cells() for one in self.instrument], _INSTRUMENT_HEADER),
            html_table([one.cells() for one in self.figures], _FIGURE_HEADER),
        ]
        return "".join([*tables, *(html_table([(note,)]) for note in [*self._notes(), ESTIMATE])])


def estimation_of(model: BenchModel, ends: Sequence[Floats], costs: Sequence[float]) -> Estimation:
    """The answer from where searches ended, the best first, with their costs."""
    x, sharp = ends[0], model.sharpened()
    residuals, jacobian = sharp.residuals(x), sharp.slopes(x)
    projected = _projected(model, jacobian)
    told, singular, directions = _told(projected)
    widening = _widening(model, residuals, projected, told)
    covariance = widening[:, np.newaxis] * told * widening
    covariance += _NUMERICAL**2 * np.eye(model.count)
    deviations = np.sqrt(np.diag(covariance))
    samples = len(model.samples.times)
    misfit = {
        name: float(np.sqrt(np.mean(residuals[index * samples : (index + 1) * samples] ** 2)))
        for index, name in enumerate(model.channels)
    }
    explained = max(misfit.values()) <= _MISFIT
    estimates = tuple(_estimates(model, x, deviations, explained))
    with np.errstate(invalid="ignore"):
        correlations = covariance / np.outer(deviations, deviations)
    wider = float(widening.max()) if explained else math.nan
    not_told: tuple[str, ...] = (_NOTHING_TOLD,)
    if explained:
        elsewhere = _as_good_elsewhere(model, ends, costs, deviations)
        not_told = (*_left_open(model, singular, directions, wider), *elsewhere)
    edges, figures, unbounded = fitted_edges(model, x, covariance, explained)
    shown = _overlay(model, x)
    doubts = dict(doubts_of(_turn_on(shown.measured), _turn_on(edges.waveform)))
    is_plain = explained or doubts or any(one.is_at_bound for one in estimates)
    suspect = None if is_plain else suspect_of(model, x, jacobian)
    return Estimation(
        model.cell_of(x), estimates, tuple(_instrument(model, x, jacobian, wider)), edges, figures,
        correlations, misfit, (*not_told, *unbounded), shown, model.simulations,
        (*_warnings(model, x, estimates, misfit, doubts), *_suspected(suspect)),
    )  # fmt: skip


def _suspected(suspect: Suspect | None) -> Iterator[InputWarning]:
    if suspect is not None:
        yield InputWarning(suspect.path, suspect.sentence())


def _turn_on(waveform: Waveform) -> Mapping[str, float]:
    """Figures of the first one."""
    return next((edge.values() for edge in measure_edges(waveform) if isinstance(edge, MeasuredTurnOn)), {})


def _projected(model: BenchModel, jacobian: Floats) -> Floats:
    """Columns of the unknowns less what the instrument's columns can mimic.

    Without the mixtures of unknowns of which next to nothing is left: that may be bends.
    """
    lengths = np.linalg.norm(jacobian, axis=0)
    scale = np.where(lengths > 0.0, lengths, 1.0)
    basis, _ = np.linalg.qr(jacobian[:, model.count :] / scale[model.count :])
    unknown = jacobian[:, : model.count] / scale[: model.count]
    left = unknown - basis @ (basis.T @ unknown)
    _, shares, mixtures = np.linalg.svd(left, full_matrices=False)
    seen = mixtures[shares > _SEEN]
    return np.asarray(left @ seen.T @ seen * scale[: model.count])


def _told(projected: Floats) -> tuple[Floats, Floats, Floats]:
    """Covariance of the logarithms in white noise, singular values, and directions as rows."""
    _, singular, directions = np.linalg.svd(projected, full_matrices=False)
    safe = np.maximum(singular, 1.0 / _OPEN)
    return (directions.T / safe**2) @ directions, safe, directions


def _widening(model: BenchModel, residuals: Floats, projected: Floats, told: Floats) -> Floats:
    """Factor of each standard deviation, 1 or more: residuals larger than the noise, or correlated."""
    influence = projected @ told * residuals[:, np.newaxis]
    samples = len(model.samples.times)
    variance = np.sum(influence[len(model.channels) * samples :] ** 2, axis=0)
    for index in range(len(model.channels)):
        part = influence[index * samples : (index + 1) * samples]
        variance += np.sum(part**2, axis=0)
        for lag in range(1, min(_LAGS, samples // 10) + 1):
            weight = 1.0 - lag / (_LAGS + 1.0)
            variance += 2.0 * weight * np.sum(part[lag:] * part[:-lag], axis=0)
    return np.asarray(np.sqrt(np.maximum(variance / np.diag(told), 1.0)))


def _estimates(model: BenchModel, x: Floats, deviations: Floats, explained: bool) -> Iterator[Estimate]:
    for place, one in enumerate(model.unknowns):
        half = NORMAL_95 * deviations[place]
        value, reach = float(np.exp(x[place])), math.exp(min(half, 50.0))
        ends = (max(value / reach, one.low), min(value * reach, one.high))
        low, high = ends if explained else (math.nan, math.nan)
        found = Estimate(one.path, one.unit, value, low, high, one.low, one.high, "told")
        state = "not told" if half > _TOLD else "at its bound" if found.is_at_bound else "told"
        yield dataclasses.replace(found, state=state if explained else "misfit")


def _instrument(
    model: BenchModel, x: Floats, jacobian: Floats, widening: float
) -> Iterator[InstrumentEstimate]:
    scale = np.linalg.norm(jacobian, axis=0)
    scale[scale == 0.0] = 1.0
    inverse = np.linalg.pinv(jacobian / scale)
    deviations = np.linalg.norm(inverse, axis=1) / scale
    for place, name in enumerate(model.names):
        if place >= model.count:
            unit, size = model.unit_of(name)
            yield InstrumentEstimate(
                name, unit, float(x[place]) * size, NORMAL_95 * float(deviations[place]) * size * widening
            )


def _left_open(model: BenchModel, singular: Floats, directions: Floats, widening: float) -> Iterator[str]:
    """A sentence for each direction along which the unknowns may move far without the samples noticing."""
    for value, direction in zip(singular, directions, strict=True):
        half = NORMAL_95 * widening / value
        if half <= _TOLD:
            continue
        largest = int(np.argmax(np.abs(direction)))
        moved = direction / direction[largest] * min(half, math.log(2.0))
        named = [
            f"{model.unknowns[place].path} {100.0 * math.expm1(step):+.0f} %"
            for place, step in enumerate(moved)
            if abs(step) >= _PART * abs(moved[largest])
        ]
        if len(named) == 1:
            yield f"The capture does not tell: {named[0]} stays within its noise."
        else:
            yield f"The capture does not tell apart: {', '.join(named)} together stay within its noise."


def _as_good_elsewhere(
    model: BenchModel, ends: Sequence[Floats], costs: Sequence[float], deviations: Floats
) -> tuple[str, ...]:
    found = []
    for x, cost in zip(ends[1:], costs[1:], strict=True):
        apart = np.abs(x - ends[0])[: model.count] > _ELSEWHERE * deviations
        if cost <= costs[0] + _AS_GOOD and apart.any():
            values = ", ".join(
                f"{one.path} {format_figure(float(np.exp(x[place])), one.unit, 3)}"
                for place, one in enumerate(model.unknowns)
            )
            found.append(f"From another start these fit as well: {values}.")
    return tuple(found)


def _overlay(model: BenchModel, x: Floats) -> Overlay:
    times = model.samples.times
    units = {name: "A" if name.startswith("i_") else "V" for name in model.channels}
    shown = Waveform.from_samples(times, model.shown(x), units)
    return overlay(shown, Waveform.from_samples(times, model.samples.values, units), align="none")


def _warnings(
    model: BenchModel,
    x: Floats,
    estimates: Sequence[Estimate],
    misfit: Mapping[str, float],
    doubts: Mapping[str, str],
) -> Iterator[InputWarning]:
    yield from (InputWarning(channel, sentence) for channel, sentence in doubts.items())
    for name, ratio in misfit.items():
        if ratio > _MISFIT:
            message = (
                f"the model misses the capture by {ratio:.1f} times its noise: something else in the circuit "
                "or the instrument is not as described."
            )
            yield InputWarning(name, message)
    for place, expected, deviation in model.known():
        if abs(x[place] - expected) > _FAR * deviation:
            unit, size = model.unit_of(model.names[place])
            found, stated = (format_figure(one * size, unit, 3) for one in (float(x[place]), deviation))
            message = (
                f"fitted as {found}, far from what its stated standard deviation {stated} allows: look for "
                "a wrong scale or delay of the channel."
            )
            yield InputWarning(model.names[place], message)
    for one in estimates:
        if one.is_at_bound:
            message = "the best value is at its bound: widen the bounds, or look for another cause."
            if one.path == "current":
                message = (
                    "is as far from what i_d shows as its scale allows: look at the factor of that probe, "
                    "or give current=."
                )
            yield InputWarning(one.path, message)
