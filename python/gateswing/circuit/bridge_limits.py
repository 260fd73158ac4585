"""What a half bridge must keep to."""

from __future__ import annotations

from typing import Annotated

from ..model import Model, Quantity, between, positive
from .half_bridge import HalfBridgeCell
from .limit_kinds import MARGIN, junction_limit

__all__ = ["BridgeLimits"]


class BridgeLimits(Model):
    """What a half bridge must keep to, each side of it. A limit left out is not checked, except ratings."""

    maximum_drain_voltage: Annotated[
        float | None,
        Quantity(
            "V",
            "Peak v_DS at the die of either MOSFET; left out: the rating of each.",
            allowed=positive(3e3),
        ),
    ] = None
    maximum_gate_voltage: Annotated[
        float | None,
        Quantity(
            "V",
            "Peak of v_GS at either die, of either sign; left out: the rating of each MOSFET.",
            allowed=positive(60.0),
        ),
    ] = None
    minimum_efficiency: Annotated[
        float | None, Quantity("", "Load power over load power and losses.", allowed=between(0.0, 1.0))
    ] = None
    maximum_total_loss: Annotated[
        float | None, Quantity("W", "Of the bridge, its drivers and its filter.", allowed=positive(1e5))
    ] = None
    maximum_mosfet_loss: Annotated[
        float | None,
        Quantity(
            "W",
            "Mean heat in either MOSFET: channel, drift region, body diode, breakdown.",
            allowed=positive(1e4),
        ),
    ] = None
    maximum_driver_loss: Annotated[
        float | None, Quantity("W", "Mean heat in either driver's output stage.", allowed=positive(1e3))
    ] = None
    maximum_junction_temperature: Annotated[
        float | None, junction_limit("Of either MOSFET, where its cooling is given; left out: 150 degC.")
    ] = None
    maximum_diode_temperature: Annotated[
        float | None,
        junction_limit("Of either anti-parallel diode, where its cooling is given; left out: 150 degC."),
    ] = None
    maximum_shoot_through_charge: Annotated[
        float | None,
        Quantity(
            "C",
            "Through both channels at once, in a period; left out: as much as takes 1 % of all losses.",
            allowed=positive(1.0),
        ),
    ] = None
    maximum_avalanche_energy: Annotated[
        float | None,
        Quantity(
            "J",
            "Heat in the breakdown of either MOSFET in a period, of the repetitive rating; left out: none.",
            allowed=positive(100.0),
        ),
    ] = None
    minimum_high_supply_voltage: Annotated[
        float | None,
        Quantity(
            "V",
            "Of what feeds the high side's driver while it is commanded on; left out: the lockout of a driver"
            " with a bootstrap.",
            allowed=positive(60.0),
        ),
    ] = None
    maximum_output_ripple: Annotated[
        float | None,
        Quantity("V", "Of the output voltage, highest less lowest.", allowed=positive(1.5e3)),
    ] = None
    margin: Annotated[float, MARGIN] = 0.1

    def unjudgeable(self, cell: HalfBridgeCell) -> list[tuple[str, str]]:
        """Limits on what is not computed for this bridge, each with the field that it lacks."""
        coolings = [side.cooling for side in (cell.high, cell.low) if side.cooling is not None]
        there = {
            "maximum_junction_temperature": any(one.mosfet for one in coolings),
            "maximum_diode_temperature": any(one.freewheel for one in coolings),
            "maximum_output_ripple": cell.output is not None,
        }
        lacking = {
            "maximum_junction_temperature": "cooling.mosfet of a side",
            "maximum_diode_temperature": "cooling.freewheel of a side",
            "maximum_output_ripple": "output",
        }
        return [
            (name, lacking[name])
            for name, found in there.items()
            if getattr(self, name) is not None and not found
        ]
