"""Figures of a commutation: what two switches in series do to each other, and the answer that holds them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Literal

import numpy as np

from ..circuit.half_bridge import HalfBridgeCell
from ..figures import Figures, Meaning, format_figure
from .edges import TurnOff, TurnOn
from .results import Answer

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from .bridge_point import HalfBridgePoint

__all__ = ["Commutation", "HalfBridgeEdges", "commutation_sections", "longest_dead_time_needed"]


@dataclass(frozen=True, repr=False)
class Commutation(Figures):
    """The current passes from the outgoing to the incoming switch. Voltages at the dies.

    No standard defines these figures; common practice, no source. NaN, printed as a dash: the waveform does
    not show it.
    """

    outgoing_off: Annotated[float, Meaning("s", "v_GS of the outgoing switch falls through its threshold")]
    incoming_on: Annotated[float, Meaning("s", "v_GS of the incoming switch rises through its threshold")]
    gate_gap: Annotated[float, Meaning("s", "between the two; negative: both are on")]
    dead_time_needed: Annotated[float, Meaning("s", "dead time of the commands for a gap of nothing")]
    voltage_at_turn_on: Annotated[
        float, Meaning("V", "v_DS of the incoming switch at its threshold: the bus if hard, nothing if soft")
    ]
    shoot_through_charge: Annotated[float, Meaning("C", "through both channels at once")]
    shoot_through_energy: Annotated[float, Meaning("J", "heat of that charge in both channels")]
    induced_gate_voltage: Annotated[
        float, Meaning("V", "peak v_GS of the outgoing switch while the incoming one switches")
    ]
    threshold_margin: Annotated[
        float, Meaning("V", "from that peak up to the threshold of the outgoing switch")
    ]
    minimum_gate_voltage: Annotated[float, Meaning("V", "lowest v_GS of either switch")]
    peak_reverse_current: Annotated[
        float, Meaning("A", "into the drain pin of the outgoing switch meanwhile")
    ]
    recovery_charge: Annotated[float, Meaning("C", "backward through the outgoing side's junctions")]
    recovery_energy: Annotated[float, Meaning("J", "heat in those junctions meanwhile")]
    capacitive_charge: Annotated[float, Meaning("C", "into the capacitances at the outgoing side's drain")]
    diode_conduction_energy: Annotated[
        float, Meaning("J", "forward heat in body and anti-parallel diodes of both sides")
    ]


def longest_dead_time_needed(*commutations: Commutation) -> float:
    """With which the gates overlap in none [s]; NaN if a gate does not move in one of them."""
    return float(np.max([one.dead_time_needed for one in commutations]))


@dataclass(frozen=True, repr=False)
class HalfBridgeEdges(Answer):
    """Both edges of one switch of a half bridge, and what they do to the other one.

    Attributes:
        active: the switch whose edges these are, ``high`` or ``low``.
        dead_time: from each command "off" to the other switch's command "on" [s].
        current: load current at the turn-off, out of the switch node [A].
        on_time: from the command "on" of the active switch, which is time 0, to its command "off" [s].
        off_time: recorded after that [s].
        turn_on, turn_off: figures of the active switch.
        to_active, from_active: figures of the two commutations.
    """

    cell: HalfBridgeCell
    active: Literal["high", "low"]
    dead_time: float
    current: float
    on_time: float
    off_time: float
    turn_on: TurnOn
    turn_off: TurnOff
    to_active: Commutation
    from_active: Commutation

    @property
    def other(self) -> Literal["high", "low"]:
        """The switch that is not the active one."""
        return "low" if self.active == "high" else "high"

    @property
    def dead_time_needed(self) -> float:
        """The least dead time [s] with which the gates overlap in neither commutation, at this current."""
        return longest_dead_time_needed(self.to_active, self.from_active)

    @property
    def losses(self) -> dict[str, float]:
        """Heat of each element but the load over both edges [J], largest first."""
        entries = [
            entry for entry in self.ledger if entry.kind == "dissipated" and not entry.name.startswith("load")
        ]
        return {entry.name: entry.energy for entry in sorted(entries, key=lambda entry: -entry.energy)}

    def plot(self) -> Figure:
        """Draw both commutations; see :func:`gateswing.plot.plot_commutations`."""
        from ..plot import plot_commutations

        return plot_commutations(self)

    def _sections(self) -> list[tuple[str, list[tuple[str, str, str]]]]:
        at = (
            f"load current {format_figure(self.current, 'A')}, dead time {format_figure(self.dead_time, 's')}"
        )
        (first, rows), *others = commutation_sections(self)
        return [(f"{first}, {at}", rows), *others, ("Trust", self._trust())]


def commutation_sections(
    of: HalfBridgeEdges | HalfBridgePoint,
) -> list[tuple[str, list[tuple[str, str, str]]]]:
    """Title and rows of the figures of both edges and both commutations."""
    return [
        (f"Turn-on of the {of.active} side", of.turn_on.rows()),
        (f"Commutation to the {of.active} side", of.to_active.rows()),
        (f"Turn-off of the {of.active} side", of.turn_off.rows()),
        (f"Commutation to the {of.other} side", of.from_active.rows()),
    ]
