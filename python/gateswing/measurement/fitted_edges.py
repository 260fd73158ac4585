"""Figures of the edges of a fitted cell, with the intervals that follow from those of its unknowns."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..studies.results import DoublePulse
from .interval import IntervalEstimate
from .model import BenchModel
from .view import NORMAL_95

__all__ = ["FigureEstimate", "FittedEdges", "fitted_edges"]

Floats = NDArray[np.float64]

_FIGURES = {
    "turn_on": ("delay", "rise_time", "energy", "peak_drain_current"),
    "turn_off": ("delay", "fall_time", "energy", "overshoot"),
}
# Of its logarithm, what an unknown is moved by to see what follows: the simulation is smooth to about its
# tolerance, and linear for a quarter at most.
_LEAST_STEP, _MOST_STEP = 2e-3, 0.25
_NUMERICAL = 2e-4  # of a figure: what simulation and sampling add to its standard deviation


@dataclass(frozen=True)
class FigureEstimate(IntervalEstimate):
    """A figure of the fitted cell's edges, at the load current of the capture.

    Attributes:
        name: such as ``turn_on.energy``.
        unit: in SI.
        value: in that unit, of the circuit itself and not of what the instrument shows.
        uncertainty: half of the 95 % interval, by what the capture leaves open of the unknowns.
        definition: as of :class:`TurnOn` and :class:`TurnOff`.
    """

    definition: str

    @property
    def title(self) -> str:
        """The name in words."""
        return self.name.replace("_", "-", 1).replace(".", " ").replace("_", " ")

    def cells(self) -> tuple[str, ...]:
        """The estimate as a row of a table."""
        return (*super().cells(), self.definition)


class FittedEdges(NamedTuple):
    """The fitted cell's edges.

    Attributes:
        edges: simulated.
        figures: of these.
        not_told: which figures have no interval, a sentence for all of them.
    """

    edges: DoublePulse
    figures: tuple[FigureEstimate, ...]
    not_told: tuple[str, ...]


def fitted_edges(model: BenchModel, x: Floats, covariance: Floats, explained: bool) -> FittedEdges:
    """The edges and their figures, intervals by quotients of differences over the unknowns.

    Args:
        model: with the cell and its unknowns.
        x: where the search ended, shape (x,).
        covariance: of the logarithms of the unknowns, shape (unknowns, unknowns).
        explained: whether the model explains the capture; where not, no interval holds, and all are NaN.
    """
    covariance = _within_bounds(model, covariance)
    edges = model.simulated(x)
    base = _values(edges)
    slopes = {name: np.full(model.count, np.nan) for name in base}
    for place, deviation in enumerate(np.sqrt(np.diag(covariance))):
        step = float(np.clip(deviation, _LEAST_STEP, _MOST_STEP))
        for moved in model.beside(x, place, step):
            answer = model.answer(moved)
            if answer is None:
                continue
            for name, (value, _, _) in _values(answer).items():
                if math.isnan(slopes[name][place]):
                    slopes[name][place] = (value - base[name][0]) / (moved[place] - x[place])
            if not any(math.isnan(slopes[name][place]) for name in base if not math.isnan(base[name][0])):
                break
    figures = tuple(
        FigureEstimate(
            name, unit, value, NORMAL_95 * _deviation(value, slopes[name], covariance, explained), definition
        )
        for name, (value, unit, definition) in base.items()
    )
    return FittedEdges(edges, figures, tuple(_not_told(model, figures, slopes)) if explained else ())


def _not_told(
    model: BenchModel, figures: Sequence[FigureEstimate], slopes: Mapping[str, Floats]
) -> Iterator[str]:
    """Of figures that the fitted cell has, but no cell beside it."""
    lost = [one for one in figures if not math.isnan(one.value) and np.isnan(slopes[one.name]).any()]
    if lost:
        places = np.isnan([slopes[one.name] for one in lost]).any(axis=0)
        paths = ", ".join(model.unknowns[place].path for place in np.flatnonzero(places))
        titles = ", ".join(one.title for one in lost)
        yield (
            f"No interval is known of {titles}: with {paths} a little larger or smaller, the fitted cell "
            "cannot be simulated or does not show them."
        )


def _within_bounds(model: BenchModel, covariance: Floats) -> Floats:
    """The same, no unknown wider than evenly between its bounds."""
    most = np.array([math.log(one.high / one.low) / math.sqrt(12.0) for one in model.unknowns])
    shares = np.minimum(1.0, most / np.sqrt(np.diag(covariance)))
    return np.asarray(shares[:, np.newaxis] * covariance * shares)


def _deviation(value: float, slopes: Floats, covariance: Floats, explained: bool) -> float:
    if not explained or np.isnan(slopes).any():
        return math.nan
    return math.hypot(math.sqrt(max(float(slopes @ covariance @ slopes), 0.0)), _NUMERICAL * value)


def _values(edges: DoublePulse) -> dict[str, tuple[float, str, str]]:
    """Value, unit and definition by name."""
    return {
        f"{edge}.{name}": one.described()[name]
        for edge, one in (("turn_on", edges.turn_on), ("turn_off", edges.turn_off))
        for name in _FIGURES[edge]
    }
