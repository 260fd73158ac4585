"""The half bridge: two MOSFETs in series across the bus, each with its driver, the load between them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import Field, field_validator

from . import _core
from .cell import Snubber, Supply
from .core import fill
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
from .model import Model
from .mosfet import Mosfet
from .temperature import STATED_TEMPERATURE, junction_kind

__all__ = ["BridgeSwitch", "HalfBridgeCell"]


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
        )


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
            loop_inductance=self.loop_inductance,
            loop_resistance=self.loop_resistance,
        )
