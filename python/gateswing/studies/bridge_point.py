"""The answer about a half bridge in steady state."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Literal

from ..circuit.half_bridge import HalfBridgeCell
from ..figures import Figures, Meaning, format_figure
from .commutation import Commutation, commutation_sections, longest_dead_time_needed
from .results import SteadyAnswer, powers_by_cause

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from ..hand_formulas.listing import Explanation, HandFormulas

__all__ = ["HalfBridgeFigures", "HalfBridgePoint", "SwitchFigures"]


@dataclass(frozen=True, repr=False)
class SwitchFigures(Figures):
    """What one side of a half bridge does over a period. Voltages at the die."""

    loss: Annotated[float, Meaning("W", "heat in the MOSFET: channel, drift region, body diode, breakdown")]
    diode_loss: Annotated[float, Meaning("W", "heat in the anti-parallel diode")]
    driver_loss: Annotated[float, Meaning("W", "heat in the driver's output stage")]
    rms_current: Annotated[float, Meaning("A", "root of the mean square, at the drain pin")]
    peak_drain_voltage: Annotated[float, Meaning("V", "v_DS")]
    maximum_gate_voltage: Annotated[float, Meaning("V", "v_GS")]
    minimum_gate_voltage: Annotated[float, Meaning("V", "v_GS")]
    junction_temperature: Annotated[float, Meaning("K", "of the MOSFET, by its losses and cooling")]
    diode_temperature: Annotated[float, Meaning("K", "of the anti-parallel diode, likewise")]


@dataclass(frozen=True, repr=False)
class HalfBridgeFigures(Figures):
    """Figures of a half bridge that switches periodically, once it repeats itself."""

    input_power: Annotated[float, Meaning("W", "from all sources that give power")]
    load_power: Annotated[float, Meaning("W", "into load or output, and into the bus where that takes power")]
    total_loss: Annotated[float, Meaning("W", "heat in everything else")]
    efficiency: Annotated[float, Meaning("%", "load power over load power and losses")]
    mean_load_current: Annotated[float, Meaning("A", "out of the switch node")]
    rms_load_current: Annotated[float, Meaning("A", "root of the mean square")]
    load_current_ripple: Annotated[float, Meaning("A", "highest less lowest load current")]
    mean_switch_voltage: Annotated[float, Meaning("V", "of the switch node against ground")]
    output_voltage: Annotated[float, Meaning("V", "mean, of a cell with an output")]
    output_ripple: Annotated[float, Meaning("V", "of the output voltage, highest less lowest")]
    shoot_through_charge: Annotated[float, Meaning("C", "through both channels at once, in a period")]
    high_supply_maximum: Annotated[float, Meaning("V", "of what feeds the high side's driver")]
    high_supply_minimum: Annotated[float, Meaning("V", "lowest of it while the high side is commanded on")]
    thermal_gain: Annotated[float, Meaning("", "loop gain R_th dP/dT; at 1 the temperature runs away")]


@dataclass(frozen=True, repr=False)
class HalfBridgePoint(SteadyAnswer, HalfBridgeFigures):
    """A half bridge switched at one frequency, duty and dead time until it repeats itself.

    Attributes:
        active: the switch whose duty is stated, ``high`` or ``low``.
        frequency: [Hz].
        duty: commanded on-time of the active switch over the period.
        dead_time: from each command "off" to the other switch's command "on" [s].
        high, low: figures of each side.
        causes: the losses sorted by what causes them; they add up to those of the ledger.
        runaway, periods, periodicity_residual, corrections, largest_multiplier: as of an
            :class:`OperatingPoint`.
        turn_on, turn_off: figures of the edges of the active switch.
        to_active, from_active: figures of the two commutations.
    """

    cell: HalfBridgeCell
    active: Literal["high", "low"]
    dead_time: float
    high: SwitchFigures
    low: SwitchFigures
    to_active: Commutation
    from_active: Commutation

    @property
    def other(self) -> Literal["high", "low"]:
        """The switch that is not the active one."""
        return "low" if self.active == "high" else "high"

    @property
    def losses(self) -> dict[str, float]:
        """Mean loss of each element [W], largest first."""
        powers: dict[str, float] = {}
        for loss in self.causes:
            powers[loss.element] = powers.get(loss.element, 0.0) + loss.power
        return dict(sorted(powers.items(), key=lambda item: -item[1]))

    @property
    def dead_time_needed(self) -> float:
        """The least dead time [s] with which the gates overlap in neither commutation; NaN if one is none."""
        return longest_dead_time_needed(self.to_active, self.from_active)

    def losses_of(self, side: Literal["high", "low"]) -> dict[str, float]:
        """Mean loss of one side's parts for each cause [W], largest first: MOSFET, diode, gate, snubber."""
        return powers_by_cause(loss for loss in self.causes if loss.element.startswith(f"{side} "))

    def plot(self) -> Figure:
        """Draw the losses by cause; see :func:`gateswing.plot.plot_losses`."""
        from ..plot import plot_losses

        return plot_losses(self)

    def hand_formulas(self) -> HandFormulas:
        """The figures that have a hand formula, beside the simulated ones.

        Raises:
            SimulationError: the run did not finish.
        """
        from ..hand_formulas.bridge import bridge_formulas

        return bridge_formulas(self)

    def explain(self, name: str) -> Explanation:
        """Definition, equation, values and their sources of one figure, such as ``high_conduction_loss``.

        Raises:
            InputError: there is no such figure.
            SimulationError: the run did not finish.
        """
        return self.hand_formulas().explain(name, self.described())

    def edge_sections(self) -> list[tuple[str, list[tuple[str, str, str]]]]:
        """Title and rows of the figures of both edges and both commutations of the last period."""
        return commutation_sections(self)

    def _sections(self) -> list[tuple[str, list[tuple[str, str, str]]]]:
        frequency, duty = format_figure(self.frequency, "Hz"), format_figure(self.duty, "%")
        at = f"{frequency}, duty {duty} of the {self.active} side"
        return [
            (f"Half bridge, {at}, dead time {format_figure(self.dead_time, 's')}", self.rows()),
            *((f"{side.capitalize()} side", getattr(self, side).rows()) for side in ("high", "low")),
            *self._loss_sections(self.total_loss),
            ("Trust", self._trust()),
        ]
