"""How an inductive load is released: time, voltages, and who takes the energy."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

from .. import _core
from ..circuit.cell import LowSideCell
from ..circuit.loads import Solenoid
from ..core import fill
from ..errors import issue
from ..figures import Figures, Meaning, format_figure
from ..model import Quantity, argument, between, positive
from .asking import ask, common_members, input_warnings
from .edges import TurnOff
from .results import Answer

if TYPE_CHECKING:
    from matplotlib.figure import Figure

__all__ = ["InductiveTurnOff", "ReleaseFigures", "inductive_turn_off"]

_CURRENT = Quantity("A", "Load current at the turn-off.", allowed=positive(2e3))
_REMAINING = Quantity("", "Share of the current at which the load lets go.", allowed=between(0.0, 1.0))


@dataclass(frozen=True, repr=False)
class ReleaseFigures(Figures):
    """Figures of a release. NaN, printed as a dash: the record does not show it."""

    release_time: Annotated[float, Meaning("s", "command to load current at the remaining share")]
    release_time_by_hand: Annotated[
        float, Meaning("s", "(L/R) ln((1 + r)/(1 + share r)), r = R I/(plateau - bus)")
    ]
    plateau_voltage: Annotated[float, Meaning("V", "v_DS at the die, mean over the charge of the load")]
    peak_drain_voltage: Annotated[float, Meaning("V", "v_DS at the die")]
    maximum_gate_voltage: Annotated[float, Meaning("V", "v_GS at the die while the drain is at its plateau")]
    breakdown_energy: Annotated[float, Meaning("J", "avalanche in the MOSFET")]
    channel_energy: Annotated[float, Meaning("J", "turn-off and active clamping in the MOSFET")]
    clamp_energy: Annotated[float, Meaning("J", "clamps and freewheel diode")]
    load_energy: Annotated[float, Meaning("J", "heat in the load")]
    energy_by_hand: Annotated[
        float,
        Meaning(
            "J",
            "of breakdown, channel and clamps together; 1/2 L I^2 V/(V - bus) without R; none beside a "
            "freewheel diode, whose current does not come from the bus",
        ),
    ]


@dataclass(frozen=True, repr=False)
class InductiveTurnOff(Answer, ReleaseFigures):
    """The release of an inductive load.

    Attributes:
        current: of the load at the command, which is time 0 [A].
        remaining: share of it at which the load counts as released.
        turn_off: figures of the edge.
    """

    cell: LowSideCell
    current: float
    remaining: float
    turn_off: TurnOff

    def plot(self) -> Figure:
        """Draw the release; see :func:`gateswing.plot.plot_release`."""
        from ..plot import plot_release

        return plot_release(self)

    def _sections(self) -> list[tuple[str, list[tuple[str, str, str]]]]:
        at = f"{format_figure(self.current, 'A')} to {format_figure(self.remaining, '%')} of it"
        return [
            (f"Release from {at}{self._armature()}", self.rows()),
            ("Turn-off", self.turn_off.rows()),
            ("Trust", self._trust()),
        ]

    def _armature(self) -> str:
        """At which share the armature of a solenoid lets go, where that is stated and another one."""
        load = self.cell.load
        hold = load.hold_current if isinstance(load, Solenoid) else None
        if hold is None or not hold < self.current or math.isclose(hold, self.remaining * self.current):
            return ""
        share = format_figure(hold / self.current, "%", 3)
        return f"; the armature lets go at {format_figure(hold, 'A')}: ask with remaining = {share}"


def inductive_turn_off(
    cell: LowSideCell,
    *,
    current: float | str,
    remaining: float | str = 0.1,
    relative_tolerance: float = 1e-6,
) -> InductiveTurnOff:
    """Switch off a load current and follow it until it has died.

    The current goes where the cell lets it: into a freewheel diode, a clamp, or the breakdown of the MOSFET.
    The avalanche energy compares with a data sheet's single-pulse rating, the time with the release of a
    relay or valve. Results are estimates: whether a part survives its avalanche is for its maker to say.

    Args:
        cell: the circuit; its load must have an inductance.
        current: in load and MOSFET at the command "off" [A].
        remaining: share of the current at which the load counts as released. A solenoid's ``hold_current``
            is not used for it: give hold_current/current for the time until its armature lets go.
        relative_tolerance: of the integrator.

    Returns:
        Figures with the hand formulas' values beside them, energy ledger, waveform. A run that could not
        finish is returned too: its ``status`` says so and its figures are NaN. ``not_released``: the load
        current did not die, so there is no release time.

    Raises:
        InputError: an argument is out of range, or the load has no inductance.
    """
    request = fill(
        _core.InductiveTurnOffRequest(),
        current=argument("current", current, _CURRENT),
        remaining_share=argument("remaining", remaining, _REMAINING),
    )
    found = input_warnings(cell)
    core = ask(_core.inductive_turn_off, cell.to_core, request, relative_tolerance)
    issue(found)
    common = common_members(cell, core, found) | ReleaseFigures.values_in(core)
    if common["status"] == "success" and math.isnan(core.release_time):
        common["status"] = "not_released"
    if cell.freewheel is not None:
        common["energy_by_hand"] = math.nan
    return InductiveTurnOff(
        **common,
        current=request.current,
        remaining=request.remaining_share,
        turn_off=TurnOff.from_core(core.turn_off),
    )
