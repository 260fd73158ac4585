"""The half bridge: two MOSFETs in series across the bus, each with its driver, the load between them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal, Self

from pydantic import Field, field_validator, model_validator

from .. import _core
from ..core import fill
from ..errors import InputError, InputProblem
from ..model import Model, Quantity, at_least, positive
from .cell import Snubber, Supply
from .cooling import Cooling
from .diode import Diode
from .drivers import AnyDriver
from .gate_path import (
    COMMON_SOURCE_INDUCTANCE,
    GATE_INDUCTANCE,
    GATE_RESISTANCE,
    LOOP_INDUCTANCE,
    LOOP_RESISTANCE,
    PULL_DOWN_RESISTANCE,
    STEERING_DIODE_VOLTAGE,
    TURN_OFF_GATE_RESISTANCE,
    gate_path,
)
from .loads import Load
from .mosfet import Mosfet
from .temperature import STATED_TEMPERATURE, junction_kind

__all__ = ["Bootstrap", "BridgeSwitch", "HalfBridgeCell", "Output"]


class Output(Model):
    """What a converter feeds, or draws from: a stiff voltage, or a resistor with a capacitor across it.

    With a stiff voltage the load current is what duty, voltages and resistances leave, which a small change
    of duty changes by much.
    """

    voltage: Annotated[
        float | None,
        Quantity("V", "Of a stiff source, instead of the others.", allowed=positive(1500.0)),
    ] = None
    resistance: Annotated[
        float | None, Quantity("ohm", "That is fed.", allowed=positive(1e7), usual=at_least(1e-3, 1e5))
    ] = None
    capacitance: Annotated[
        float, Quantity("F", "Across the resistance.", allowed=at_least(0.0, 1.0), usual=at_least(1e-9, 0.1))
    ] = 0.0
    capacitor_resistance: Annotated[
        float,
        Quantity("ohm", "In series with it.", allowed=at_least(0.0, 100.0), usual=at_least(1e-4, 5.0)),
    ] = 0.0

    @model_validator(mode="after")
    def _one_kind(self) -> Self:
        if (self.voltage is None) == (self.resistance is None):
            hint = "Give one of both."
            raise InputError([InputProblem("", None, "takes either voltage or resistance.", hint=hint)])
        if self.voltage is not None and (self.capacitance or self.capacitor_resistance):
            name = "capacitance" if self.capacitance else "capacitor_resistance"
            raise InputError([InputProblem(name, None, "does nothing at a stiff voltage.")])
        return self

    def to_core(self) -> Any:
        """The same as a structure of the C++ core."""
        return fill(
            _core.Output(),
            voltage=self.voltage,
            resistance=self.resistance or 0.0,
            capacitance=self.capacitance,
            capacitor_resistance=self.capacitor_resistance,
        )


class Bootstrap(Model):
    """Capacitor that feeds the driver of the high side; a diode recharges it while the switch node is low.

    What the driver draws at rest comes from it too, at all times that of its on-state.
    :class:`BootstrapSupply` has the hand formulas.
    """

    supply_voltage: Annotated[
        float,
        Quantity("V", "Recharges it, against ground.", allowed=positive(60.0), usual=at_least(3.0, 20.0)),
    ]
    diode: Annotated[Diode, Field(description="From that supply to the capacitor.")]
    resistance: Annotated[
        float, Quantity("ohm", "In series with the diode.", allowed=positive(1e5), usual=at_least(0.1, 500.0))
    ]
    capacitance: Annotated[
        float, Quantity("F", "Of the capacitor.", allowed=positive(1e-3), usual=at_least(1e-9, 100e-6))
    ]

    def to_core(self) -> Any:
        """The same as a structure of the C++ core."""
        return fill(
            _core.Bootstrap(),
            supply_voltage=self.supply_voltage,
            diode=self.diode.to_core(),
            resistance=self.resistance,
            capacitance=self.capacitance,
        )


class BridgeSwitch(Model):
    """One MOSFET of a half bridge, with the driver and the gate path that are its own."""

    mosfet: Annotated[Mosfet, Field(description="The switch.")]
    driver: Annotated[AnyDriver, Field(description="What drives its gate, against its source.")]
    gate_resistance: Annotated[float, GATE_RESISTANCE] = 0.0
    turn_off_gate_resistance: Annotated[float | None, TURN_OFF_GATE_RESISTANCE] = None
    steering_diode_voltage: Annotated[float, STEERING_DIODE_VOLTAGE] = 0.6
    gate_inductance: Annotated[float, GATE_INDUCTANCE] = 0.0
    pull_down_resistance: Annotated[float | None, PULL_DOWN_RESISTANCE] = None
    diode: Annotated[Diode | None, Field(description="Anti-parallel to the MOSFET; left out: none.")] = None
    snubber: Annotated[Snubber | None, Field(description="Across the MOSFET; left out: none.")] = None
    common_source_inductance: Annotated[float, COMMON_SOURCE_INDUCTANCE] = 0.0
    junction_temperature: Annotated[float, junction_kind("MOSFET")] = STATED_TEMPERATURE
    diode_temperature: Annotated[float, junction_kind("anti-parallel diode")] = STATED_TEMPERATURE
    cooling: Annotated[
        Cooling | None,
        Field(
            description="By which a half-bridge point finds the temperatures of the MOSFET and of the"
            " anti-parallel diode, the freewheel diode there; left out: they are stated."
        ),
    ] = None

    @model_validator(mode="after")
    def _cooled_diode_is_there(self) -> Self:
        if self.cooling is not None and self.cooling.freewheel is not None and self.diode is None:
            raise InputError([InputProblem("cooling.freewheel", None, "there is no anti-parallel diode.")])
        return self

    def to_core(self) -> Any:
        """The same as a structure of the C++ core."""
        return fill(
            _core.BridgeSwitch(),
            mosfet=self.mosfet.to_core(self.junction_temperature),
            driver=self.driver.to_core(),
            gate=gate_path(self),
            diode=self.diode.to_core(self.diode_temperature) if self.diode else None,
            snubber=self.snubber.to_core() if self.snubber else None,
            common_source_inductance=self.common_source_inductance,
            **self._cooled_parts(),
        )

    def _cooled_parts(self) -> dict[str, Any]:
        if self.cooling is None:
            return {}
        ways = (
            ("cooled_mosfet", self.mosfet, self.cooling.mosfet),
            ("cooled_diode", self.diode, self.cooling.freewheel),
        )
        return {
            name: part.cooled_to_core(way.to_core(self.cooling.ambient))
            for name, part, way in ways
            if part is not None and way is not None
        }


class HalfBridgeCell(Model):
    """Two MOSFETs in series across the bus; the load hangs on the node between them.

    The driver of the high side stands on the switch node. ``bus`` takes a voltage (``"48 V"``) for a source
    without impedance, or a :class:`Supply`.
    """

    bus: Annotated[Supply, Field(description="Supply of the bridge.")]
    high: Annotated[BridgeSwitch, Field(description="Between bus and switch node.")]
    low: Annotated[BridgeSwitch, Field(description="Between switch node and ground.")]
    load: Annotated[
        Load | None,
        Field(
            description="From the switch node to load_return; left out: a current that stays constant over"
            " the edges, as of a large inductance."
        ),
    ] = None
    load_return: Annotated[
        Literal["ground", "bus", "midpoint"],
        Field(description="Where the load ends; the midpoint is a stiff source of half the bus voltage."),
    ] = "ground"
    output: Annotated[
        Output | None,
        Field(
            description="Between the load, which then is a converter's inductor, and its end; left out: none."
        ),
    ] = None
    bootstrap: Annotated[
        Bootstrap | None,
        Field(
            description="Feeds the driver of the high side in place of its supply voltage; left out: none."
        ),
    ] = None
    loop_inductance: Annotated[float, LOOP_INDUCTANCE] = 0.0
    loop_resistance: Annotated[float, LOOP_RESISTANCE] = 0.0

    @field_validator("bus", mode="before")
    @classmethod
    def _voltage_alone(cls, value: object) -> object:
        return value if isinstance(value, Supply | Mapping) else Supply(voltage=value)

    def to_core(self, current: float = 0.0) -> Any:
        """The same as a structure of the C++ core; `current` [A] is that of a load left out."""
        load = self.load.to_core() if self.load else fill(_core.Load(), constant_current=current)
        return fill(
            _core.HalfBridgeCell(),
            supply=self.bus.to_core(),
            high=self.high.to_core(),
            low=self.low.to_core(),
            load=load,
            load_return=_core.LoadReturn[self.load_return],
            output=self.output.to_core() if self.output else None,
            bootstrap=self.bootstrap.to_core() if self.bootstrap else None,
            loop_inductance=self.loop_inductance,
            loop_resistance=self.loop_resistance,
        )
