"""What is said of a choice of a gate resistance: the reason for it, and what is unusual about its curve."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from ..figures import format_figure

if TYPE_CHECKING:
    from .gate_resistance import Aim, ResistanceCurve

__all__ = ["notes_of", "reason_of", "worst_limit"]

# Share by which the energy must fall from one value to the next to be told of; less is the integrator's.
_FALLS = 1e-3


def reason_of(curve: ResistanceCurve, aim: Aim) -> str:
    """The limit that keeps the choice from going further, as a sentence."""
    names = _names(curve)
    if not np.any(np.isfinite(curve.energy)):
        return (
            f"no value from {names[0]} to {names[-1]} switches the MOSFET fully: the drain never passes the "
            "levels between which the energy is defined."
        )
    if curve.chosen is None:
        closest = int(np.argmin([_share(curve, index) for index in range(len(names))]))
        return (
            f"no value from {names[0]} to {names[-1]} holds all limits; closest is {names[closest]}, with "
            f"{_against(curve, closest)}."
        )
    chosen, goal = names[curve.chosen], _goal(curve, curve.chosen, aim)
    if goal != curve.chosen:
        what = "closest to the knee" if aim == "knee" else "of least energy"
        return f"{chosen}, {what} of those that hold all limits; {names[goal]} has {_against(curve, goal)}."
    if aim == "knee" and curve.knee is not None:
        return f"{chosen} is the knee of the trade-off curve and holds all limits."
    knee = "" if curve.knee is None else f" The knee of the trade-off curve is at {names[curve.knee]}."
    return f"{chosen} has the least energy of all values tried, and no limit stands against it.{knee}"


def notes_of(curve: ResistanceCurve) -> Iterator[str]:
    """What else to know about the choice, each as a sentence."""
    if not np.any(np.isfinite(curve.energy)):
        return
    yield from _at_an_end(curve)
    yield from _not_steady(curve)
    if np.any(np.isnan(curve.energy)):
        yield (
            "There is no energy where the drain never passes the levels between which it is defined: the "
            "MOSFET does not switch fully there."
        )


def worst_limit(curve: ResistanceCurve, index: int) -> int:
    """Index of the limit of which one value takes the largest share; one without a figure is the worst."""
    shares = curve.shares[:, index]
    return int(np.argmax(np.where(np.isnan(shares), np.inf, shares)))


def _at_an_end(curve: ResistanceCurve) -> Iterator[str]:
    """The best value tried is the first or the last: a wider range may have a better one."""
    names, last = _names(curve), curve.resistances.size - 1
    best = curve.chosen
    if best is None:
        best = int(np.argmin([_share(curve, index) for index in range(last + 1)]))
    gain = "may hold the limits" if curve.chosen is None else "may lose less"
    if best == 0:
        yield f"{names[0]} is the lowest value tried: a lower one {gain}; lowest widens the range."
    elif best == last:
        gain = gain if curve.chosen is None else "holds them by more"
        yield f"{names[last]} is the highest value tried: a higher one {gain}; highest widens the range."


def _not_steady(curve: ResistanceCurve) -> Iterator[str]:
    """Values between which the limits or the energy do not go one way."""
    names, held = _names(curve), np.flatnonzero(curve.feasible & np.isfinite(curve.energy))
    between = [] if held.size == 0 else [i for i in range(held[0], held[-1]) if i not in held]
    if between:
        gaps = ", ".join(names[index] for index in between)
        yield f"Values below and above hold all limits, but not these between them: {gaps}."
    falls = np.flatnonzero(curve.energy[1:] < (1.0 - _FALLS) * curve.energy[:-1])
    if falls.size:
        at = falls[np.argmin(curve.energy[falls + 1] / curve.energy[falls])]
        before, after = (format_figure(float(curve.energy[one]), "J") for one in (at, at + 1))
        yield (
            f"The energy does not rise steadily with the resistance: {names[at]} takes {before}, "
            f"{names[at + 1]} {after}. It is counted between levels, which a ring passes sooner or later."
        )
    if curve.chosen is not None and held[0] < curve.chosen and curve.knee != curve.chosen:
        yield f"{names[held[0]]} holds all limits too."


def _names(curve: ResistanceCurve) -> list[str]:
    return [format_figure(float(value), "ohm") for value in curve.resistances]


def _share(curve: ResistanceCurve, index: int) -> float:
    """Of its worst limit that one value takes."""
    return float(np.nan_to_num(curve.shares[:, index], nan=np.inf).max())


def _goal(curve: ResistanceCurve, chosen: int, aim: Aim) -> int:
    """The value that the limits keep the choice from: the knee, or the next of less energy."""
    if aim == "knee" and curve.knee is not None:
        return curve.knee
    better = np.flatnonzero(curve.energy < curve.energy[chosen])
    return int(better[np.argmin(np.abs(better - chosen))]) if better.size else chosen


def _against(curve: ResistanceCurve, index: int) -> str:
    """The worst limit of one value, with its figure."""
    worst = worst_limit(curve, index)
    limit = curve.limits[worst]
    figure = format_figure(float(curve.figures[worst, index]), limit.unit)
    article = "an" if limit.name[0] in "aeiou" else "a"
    return f"{article} {limit.name} of {figure} against {format_figure(limit.limit, limit.unit)}"
