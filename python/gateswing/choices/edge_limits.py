"""Limits that the edges of a cell must hold: the usual ones, and any other that reads a double pulse."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Annotated, Literal

from ..circuit.cell import LowSideCell
from ..errors import InputError, InputProblem
from ..model import Model, Quantity, at_least, positive, require_model
from ..studies.results import DoublePulse

__all__ = ["Edge", "EdgeLimit", "EdgeLimits"]

Edge = Literal["turn_on", "turn_off", "both"]

_ENERGY = at_least(1e-12, 10.0)


@dataclass(frozen=True)
class EdgeLimit:
    """One limit of a choice.

    Attributes:
        name: in words.
        edge: ``turn_on`` or ``turn_off``, to which of the two resistances it matters; ``both`` for either.
        figure: reads it off a double pulse, in the unit; not a number counts as exceeded.
        limit: the most that is allowed, > 0.
        unit: in SI.
    """

    name: str
    edge: Edge
    figure: Callable[[DoublePulse], float]
    limit: float
    unit: str

    def __post_init__(self) -> None:
        if not 0.0 < self.limit < math.inf:
            reason = f"the limit of the {self.name} is out of range."
            raise InputError([InputProblem("limit", repr(self.limit), reason, "above 0, finite")])

    def matters_to(self, edge: Edge) -> bool:
        """Whether it is a limit of this edge."""
        return "both" in (edge, self.edge) or edge == self.edge


class EdgeLimits(Model):
    """The usual limits of an edge; one left out is none, but for the ratings of the MOSFET."""

    maximum_overshoot: Annotated[
        float | None,
        Quantity("V", "Peak drain voltage above the bus, at the pins.", allowed=positive(3e3)),
    ] = None
    maximum_drain_voltage: Annotated[
        float | None,
        Quantity("V", "At the die; left out: the rated, else the breakdown one.", allowed=positive(3e3)),
    ] = None
    maximum_gate_voltage: Annotated[
        float | None,
        Quantity("V", "At the die, either sign; left out: the MOSFET's rating.", allowed=positive(60.0)),
    ] = None
    maximum_voltage_slope: Annotated[
        float | None, Quantity("V/s", "Of the drain, at either edge.", allowed=positive(1e12))
    ] = None
    maximum_current_slope: Annotated[
        float | None, Quantity("A/s", "Of the drain current, at either edge.", allowed=positive(1e12))
    ] = None
    maximum_turn_on_energy: Annotated[float | None, Quantity("J", "Eon.", allowed=_ENERGY)] = None
    maximum_turn_off_energy: Annotated[float | None, Quantity("J", "Eoff.", allowed=_ENERGY)] = None

    def of(self, cell: LowSideCell) -> tuple[EdgeLimit, ...]:
        """As limits one by one, with the ratings of a cell's MOSFET.

        Raises:
            InputError: it is no low-side cell.
        """
        hint = "Of a half bridge sweep high.gate_resistance and low.gate_resistance."
        require_model("cell", cell, LowSideCell, hint)
        drain = self.maximum_drain_voltage or cell.mosfet.drain_voltage_rating
        gate = self.maximum_gate_voltage or cell.mosfet.maximum_gate_voltage
        limits = [
            EdgeLimit("drain voltage", "turn_off", _of("turn_off", "peak_drain_voltage"), drain, "V"),
            EdgeLimit("gate voltage at turn-on", "turn_on", _of("turn_on", "peak_gate_voltage"), gate, "V"),
            EdgeLimit("gate voltage at turn-off", "turn_off", _lowest_gate_voltage, gate, "V"),
        ]
        for name, edge, field, limit, unit in self._stated():
            if limit is not None:
                limits.append(EdgeLimit(name, edge, _of(edge, field), limit, unit))
        return tuple(limits)

    def _stated(self) -> Iterator[tuple[str, Edge, str, float | None, str]]:
        """Name, edge, field of the edge's figures, limit and unit."""
        yield "overshoot", "turn_off", "overshoot", self.maximum_overshoot, "V"
        yield "turn-on energy", "turn_on", "energy", self.maximum_turn_on_energy, "J"
        yield "turn-off energy", "turn_off", "energy", self.maximum_turn_off_energy, "J"
        edges: tuple[tuple[str, Edge], ...] = (("turn-on", "turn_on"), ("turn-off", "turn_off"))
        for words, edge in edges:
            voltage, current = self.maximum_voltage_slope, self.maximum_current_slope
            yield f"voltage slope at {words}", edge, "maximum_voltage_slope", voltage, "V/s"
            yield f"current slope at {words}", edge, "maximum_current_slope", current, "A/s"


def _of(edge: str, field: str) -> Callable[[DoublePulse], float]:
    return partial(_read, edge=edge, field=field)


def _read(pulse: DoublePulse, edge: str, field: str) -> float:
    return float(getattr(getattr(pulse, edge), field))


def _lowest_gate_voltage(pulse: DoublePulse) -> float:
    return max(0.0, -pulse.turn_off.minimum_gate_voltage)
