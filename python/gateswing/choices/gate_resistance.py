"""The gate resistance that a cell needs: preferred values tried one by one under limits, each edge by itself.

Every value is a simulated double pulse. Less resistance costs stress (overshoot, slopes), more costs energy.
The knee of that trade is that of :mod:`gateswing.choices.knee`.
"""

from __future__ import annotations

import math
import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from ..circuit.cell import LowSideCell
from ..circuit_checks.left_out import issue_once, loop_left_out
from ..errors import InputError, InputProblem, issue
from ..figures import format_figure
from ..model import Quantity, argument, at_least, choice, positive, require_model
from ..preferred import Series, preferred_values
from ..studies.asking import quiet_double_pulse
from ..studies.edges import TurnOff, TurnOn
from ..studies.results import DoublePulse
from ..tables import Section, html_page, text_page
from .edge_limits import Edge, EdgeLimit, EdgeLimits
from .knee import knee_of
from .resistance_words import notes_of, reason_of, worst_limit

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.figure import Figure

__all__ = ["GateResistanceChoice", "ResistanceCurve", "choose_gate_resistance"]

Array = NDArray[np.float64]
Aim = Literal["energy", "knee"]

_RESISTANCE = Quantity("ohm", "Tried.", allowed=positive(1e6), usual=at_least(0.1, 1e4))
_THREADS = Quantity("", "To run in.", allowed=at_least(1.0, 1024.0))


@dataclass(frozen=True, repr=False)
class ResistanceCurve:
    """What one gate resistance does, value by value, and which was chosen.

    Attributes:
        field: of the cell that was changed.
        edge: that it acts on.
        resistances: tried, rising, shape (n,) [ohm].
        turn_on, turn_off: all figures of the edges, n of each.
        energy: Eon, Eoff or their sum, shape (n,) [J].
        stress: highest voltage slope at turn-on [V/s], else overshoot [V], shape (n,).
        limits: that matter to this edge.
        figures: by limit, shape (limits, n), in its unit.
        chosen: index of the choice; ``None`` if no value holds all limits.
        knee: index of the knee; ``None`` if the curve has none.
        reason: for the choice, as a sentence.
    """

    field: str
    edge: Edge
    resistances: Array
    turn_on: tuple[TurnOn, ...]
    turn_off: tuple[TurnOff, ...]
    energy: Array
    stress: Array
    limits: tuple[EdgeLimit, ...]
    figures: Array
    chosen: int | None
    knee: int | None
    reason: str

    @property
    def shares(self) -> Array:
        """Figures over their limits, shape (limits, n); above 1, or not a number, is exceeded."""
        return _shares(self.limits, self.figures)

    @property
    def feasible(self) -> NDArray[np.bool_]:
        """Whether a value holds all limits, shape (n,)."""
        return np.asarray(np.all(self.shares <= 1.0, axis=0))

    @property
    def stress_name(self) -> str:
        """What the stress is."""
        return "voltage slope" if self.edge == "turn_on" else "overshoot"

    @property
    def stress_unit(self) -> str:
        """In SI."""
        return "V/s" if self.edge == "turn_on" else "V"

    @property
    def resistance(self) -> float:
        """The choice [ohm]; not a number if there is none."""
        return math.nan if self.chosen is None else float(self.resistances[self.chosen])

    def to_dataset(self) -> xr.Dataset:
        """All figures of both edges over the resistance, with units and definitions in the attributes."""
        import xarray as xr

        axis = {"units": "ohm", "long_name": self.field.replace("_", " ")}
        data = {
            f"{edge}_{name}": (
                self.field,
                [getattr(part, name) for part in parts],
                {"units": unit or "1", "description": kind.definitions()[name]},
            )
            for edge, kind, parts in (("turn_on", TurnOn, self.turn_on), ("turn_off", TurnOff, self.turn_off))
            for name, unit in kind.units().items()
        }
        return xr.Dataset(data, coords={self.field: (self.field, self.resistances, axis)})

    def rows(self) -> list[tuple[str, ...]]:
        """Resistance, energy, stress, closest limit, verdict and mark as text."""
        return [self._row(index) for index in range(self.resistances.size)]

    def _row(self, index: int) -> tuple[str, ...]:
        worst = worst_limit(self, index)
        share, energy = self.shares[worst, index], float(self.energy[index])
        switches = math.isfinite(energy)
        marks = [word for word, at in (("chosen", self.chosen), ("knee", self.knee)) if at == index]
        return (
            format_figure(float(self.resistances[index]), "ohm"),
            format_figure(energy, "J") if switches else "none",
            format_figure(float(self.stress[index]), self.stress_unit),
            f"{self.limits[worst].name}, {format_figure(float(share), '%', 3)} of its limit",
            ("held" if switches else "not switched") if self.feasible[index] else "exceeded",
            ", ".join(marks),
        )

    def header(self) -> tuple[str, ...]:
        """Of the rows."""
        return ("resistance", "energy", self.stress_name, "closest limit", "verdict", "note")

    @property
    def title(self) -> str:
        """Field and reason."""
        return f"{self.field.replace('_', ' ').capitalize()}: {self.reason}"

    @property
    def notes(self) -> tuple[str, ...]:
        """What else to know about the choice: a best value at the end of those tried, an unsteady curve."""
        return tuple(notes_of(self))

    def __repr__(self) -> str:
        return text_page(self._sections(), self.notes)

    def _repr_html_(self) -> str:
        return html_page(self._sections(), self.notes)

    def _sections(self) -> list[Section]:
        return [Section(self.title, self.rows(), self.header(), frozenset({0, 1, 2}))]


@dataclass(frozen=True, repr=False)
class GateResistanceChoice:
    """The gate resistances chosen for a cell.

    Attributes:
        cell: with the choices put in; unchanged where no value holds all limits.
        curves: one for each resistance: of both edges together, or of turn-on and turn-off.
    """

    cell: LowSideCell
    curves: tuple[ResistanceCurve, ...]

    @property
    def succeeded(self) -> bool:
        """Whether every resistance has a value that holds all limits."""
        return all(curve.chosen is not None for curve in self.curves)

    def plot(self) -> Figure:
        """Draw the trade-off curves and the limits; see :func:`gateswing.plot.plot_gate_resistance`."""
        from ..plot import plot_gate_resistance

        return plot_gate_resistance(self)

    def __repr__(self) -> str:
        return "\n\n".join([*(repr(curve) for curve in self.curves), *self._notes()])

    def _repr_html_(self) -> str:
        return "".join(curve._repr_html_() for curve in self.curves) + html_page([], self._notes())

    def _notes(self) -> list[str]:
        return [f"Assumed: {one}" for one in loop_left_out(self.cell)]


def choose_gate_resistance(
    cell: LowSideCell,
    *,
    current: float | str | None = None,
    limits: EdgeLimits | None = None,
    further_limits: Sequence[EdgeLimit] = (),
    series: Series = "E12",
    lowest: float | str = 1.0,
    highest: float | str = 100.0,
    aim: Aim = "energy",
    threads: int | None = None,
) -> GateResistanceChoice:
    """Choose the gate resistance of a cell, and that of its steering branch by itself where it has one.

    A cell without ``turn_off_gate_resistance`` has one resistance for both edges. With one,
    ``gate_resistance`` is chosen first, for the turn-on, then ``turn_off_gate_resistance`` beside it.

    Args:
        cell: the circuit.
        current: at the edges [A]; as in :func:`gateswing.double_pulse`.
        limits: that every edge must hold; the ratings of the MOSFET hold without being stated.
        further_limits: any others.
        series: of preferred values.
        lowest: of the values tried [ohm].
        highest: of the values tried [ohm].
        aim: ``energy`` takes the least switching energy that holds all limits, ``knee`` the value closest to
            the knee of the curve.
        threads: how many to use; left out: one for each processor.

    Raises:
        InputError: an argument is out of range or no such choice, or the range holds no preferred value.
    """
    low, high = argument("lowest", lowest, _RESISTANCE), argument("highest", highest, _RESISTANCE)
    tried = preferred_values(series, low, high)
    if tried.size == 0:
        raise InputError([InputProblem("lowest, highest", None, f"holds no value of {series}.")])
    choice("aim", aim, Aim)
    if limits is not None:
        require_model("limits", limits, EdgeLimits, "Those of a design are judged by gateswing.check.")
    given = cell
    every = (*(limits or EdgeLimits()).of(cell), *further_limits)
    split = cell.turn_off_gate_resistance is not None
    steps: list[tuple[str, Edge]] = [("gate_resistance", "turn_on" if split else "both")]
    if split:
        steps.append(("turn_off_gate_resistance", "turn_off"))
    curves, run = [], partial(quiet_double_pulse, current=current)
    workers = os.cpu_count() if threads is None else int(argument("threads", threads, _THREADS))
    with ThreadPoolExecutor(workers) as pool:
        for field, edge in steps:
            cells = [cell.replace({field: float(value)}) for value in tried]
            pulses = list(pool.map(run, cells))
            matter = tuple(limit for limit in every if limit.matters_to(edge))
            curve = _curve(field, edge, tried, pulses, matter, aim)
            curves.append(curve)
            if curve.chosen is not None:
                cell = cells[curve.chosen]
    issue(pulses[0].warnings)
    issue_once(given, loop_left_out(given))
    return GateResistanceChoice(cell, tuple(curves))


def _curve(
    field: str,
    edge: Edge,
    tried: Array,
    pulses: Sequence[DoublePulse],
    limits: tuple[EdgeLimit, ...],
    aim: Aim,
) -> ResistanceCurve:
    edges = ("turn_on", "turn_off") if edge == "both" else (edge,)
    energy = np.array([sum(getattr(pulse, one).energy for one in edges) for pulse in pulses])
    if edge == "turn_on":
        stress = np.array([pulse.turn_on.maximum_voltage_slope for pulse in pulses])
    else:
        stress = np.array([pulse.turn_off.overshoot for pulse in pulses])
    figures = np.array([[limit.figure(pulse) for pulse in pulses] for limit in limits])
    knee = knee_of(energy, stress)
    feasible = np.all(_shares(limits, figures) <= 1.0, axis=0) & np.isfinite(energy)
    chosen = _choice(energy, feasible, knee, aim)
    both = (tuple(pulse.turn_on for pulse in pulses), tuple(pulse.turn_off for pulse in pulses))
    draft = ResistanceCurve(field, edge, tried, *both, energy, stress, limits, figures, chosen, knee, "")
    return replace(draft, reason=reason_of(draft, aim))


def _shares(limits: tuple[EdgeLimit, ...], figures: Array) -> Array:
    return np.asarray(figures / np.array([limit.limit for limit in limits])[:, np.newaxis])


def _choice(energy: Array, feasible: NDArray[np.bool_], knee: int | None, aim: Aim) -> int | None:
    possible = np.flatnonzero(feasible)
    if possible.size == 0:
        return None
    if aim == "knee" and knee is not None:
        return int(possible[np.argmin(np.abs(possible - knee))])
    return int(possible[np.argmin(energy[possible])])
