"""The low-side switching cell: supply, load, freewheel diode, snubber, wiring, MOSFET and driver."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pydantic import Field, field_validator, model_validator

from .. import _core
from ..core import fill
from ..errors import InputError, InputProblem
from ..model import Model, Quantity, at_least, positive
from .clamps import RcdClamp, ZenerClamp
from .cooling import Cooling
from .diode import Diode
from .driver_supply import Decoupling
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
from .loads import AnyLoad
from .mosfet import Mosfet
from .temperature import STATED_TEMPERATURE, junction_kind

__all__ = ["LowSideCell", "Snubber", "Supply"]


class Supply(Model):
    """Voltage source with its cable, and the bulk capacitor at the cell."""

    voltage: Annotated[
        float, Quantity("V", "Of the source, unloaded.", allowed=positive(1500.0), usual=at_least(1.0, 600.0))
    ]
    resistance: Annotated[
        float, Quantity("ohm", "Source and cable.", allowed=at_least(0.0, 1e3), usual=at_least(1e-4, 50.0))
    ] = 0.0
    inductance: Annotated[
        float, Quantity("H", "Source and cable.", allowed=at_least(0.0, 1e-3), usual=at_least(1e-9, 50e-6))
    ] = 0.0
    bulk_capacitance: Annotated[
        float, Quantity("F", "At the cell; 0: none.", allowed=at_least(0.0, 1.0), usual=at_least(1e-9, 0.1))
    ] = 0.0
    bulk_resistance: Annotated[
        float,
        Quantity(
            "ohm",
            "In series with the bulk capacitance.",
            allowed=at_least(0.0, 100.0),
            usual=at_least(1e-4, 5.0),
        ),
    ] = 0.0
    bulk_inductance: Annotated[
        float,
        Quantity(
            "H",
            "In series with the bulk capacitance.",
            allowed=at_least(0.0, 10e-6),
            usual=at_least(0.1e-9, 200e-9),
        ),
    ] = 0.0

    @property
    def loop_inductance(self) -> float:
        """What of it lies in the power loop: of the bulk capacitor, or of the cable without one [H]."""
        return self.bulk_inductance if self.bulk_capacitance else self.inductance

    def to_core(self) -> Any:
        """The same as a structure of the C++ core."""
        return fill(_core.Supply(), **{name: getattr(self, name) for name in type(self).model_fields})


class Snubber(Model):
    """Resistor and capacitor in series from drain to source."""

    resistance: Annotated[
        float, Quantity("ohm", "Of the snubber.", allowed=at_least(0.0, 1e5), usual=at_least(0.1, 1e3))
    ]
    capacitance: Annotated[
        float, Quantity("F", "Of the snubber.", allowed=positive(10e-6), usual=at_least(10e-12, 100e-9))
    ]

    def to_core(self) -> Any:
        """The same as a structure of the C++ core."""
        return fill(_core.Snubber(), resistance=self.resistance, capacitance=self.capacitance)


class LowSideCell(Model):
    """A MOSFET between load and ground, its driver, and the wiring that decides how cleanly it switches.

    ``bus`` takes a voltage (``"24 V"``) for a source without impedance, or a :class:`Supply`.
    """

    bus: Annotated[Supply, Field(description="Supply of the load.")]
    mosfet: Annotated[Mosfet, Field(description="The switch.")]
    driver: Annotated[AnyDriver, Field(description="What drives the gate.")]
    load: Annotated[AnyLoad, Field(description="Between bus and drain.")]
    gate_resistance: Annotated[float, GATE_RESISTANCE] = 0.0
    driver_decoupling: Annotated[
        Decoupling | None,
        Field(description="Capacitor at the driver's supply pins; left out: the dip there is not judged."),
    ] = None
    gate_resistor_rating: Annotated[
        float | None,
        Quantity(
            "W",
            "Rated power of the gate resistor; left out: not judged.",
            allowed=positive(100.0),
            usual=at_least(0.03, 5.0),
        ),
    ] = None
    turn_off_gate_resistance: Annotated[float | None, TURN_OFF_GATE_RESISTANCE] = None
    steering_diode_voltage: Annotated[float, STEERING_DIODE_VOLTAGE] = 0.6
    gate_inductance: Annotated[float, GATE_INDUCTANCE] = 0.0
    pull_down_resistance: Annotated[float | None, PULL_DOWN_RESISTANCE] = None
    freewheel: Annotated[Diode | None, Field(description="From switch node to bus; left out: none.")] = None
    snubber: Annotated[Snubber | None, Field(description="Across the switch; left out: none.")] = None
    drain_source_clamp: Annotated[
        ZenerClamp | None, Field(description="From drain to source; left out: none.")
    ] = None
    drain_gate_clamp: Annotated[
        ZenerClamp | None, Field(description="From drain to gate, turns the MOSFET on; left out: none.")
    ] = None
    rcd_clamp: Annotated[RcdClamp | None, Field(description="Across the load; left out: none.")] = None
    loop_inductance: Annotated[float, LOOP_INDUCTANCE] = 0.0
    loop_resistance: Annotated[float, LOOP_RESISTANCE] = 0.0
    junction_temperature: Annotated[float, junction_kind("MOSFET")] = STATED_TEMPERATURE
    freewheel_temperature: Annotated[float, junction_kind("freewheel diode")] = STATED_TEMPERATURE
    cooling: Annotated[
        Cooling | None,
        Field(
            description="By which an operating point finds junction temperatures; left out: they are stated."
        ),
    ] = None
    common_source_inductance: Annotated[float, COMMON_SOURCE_INDUCTANCE] = 0.0

    @field_validator("bus", mode="before")
    @classmethod
    def _voltage_alone(cls, value: object) -> object:
        return value if isinstance(value, Supply | Mapping) else Supply(voltage=value)

    @model_validator(mode="after")
    def _cooled_diode_is_there(self) -> Self:
        if self.cooling is not None and self.cooling.freewheel is not None and self.freewheel is None:
            problem = InputProblem("cooling.freewheel", None, "there is no freewheel diode.")
            raise InputError([problem])
        return self

    @property
    def has_inductive_load(self) -> bool:
        """Whether the load current must go on somewhere when the switch opens."""
        return self.load.is_inductive

    @property
    def commutation_paths(self) -> tuple[Diode | RcdClamp | ZenerClamp, ...]:
        """What takes the load current when the switch opens: freewheel diode and clamps, where given."""
        paths = (self.freewheel, self.rcd_clamp, self.drain_source_clamp, self.drain_gate_clamp)
        return tuple(path for path in paths if path is not None)

    def pull_down_share(self, series: float) -> float:
        """Of a voltage behind a resistance [ohm], what the pull-down resistor leaves."""
        pull_down = self.pull_down_resistance
        return 1.0 if pull_down is None else pull_down / (pull_down + series)

    @property
    def wiring_inductance(self) -> float:
        """From source or bulk capacitor by freewheel diode to the MOSFET's pins, and back [H]."""
        wiring = self.loop_inductance + self.common_source_inductance
        wiring += self.freewheel.inductance if self.freewheel else 0.0
        return wiring + self.bus.loop_inductance

    @property
    def commutation_inductance(self) -> float:
        """Of the whole loop in which the current commutates: the wiring and the MOSFET's leads [H]."""
        return self.wiring_inductance + self.mosfet.drain_inductance + self.mosfet.source_inductance

    def to_core(self) -> Any:
        """The same as a structure of the C++ core."""
        wiring = ("loop_inductance", "loop_resistance", "common_source_inductance")
        return fill(
            _core.LowSideCell(),
            supply=self.bus.to_core(),
            mosfet=self.mosfet.to_core(self.junction_temperature),
            driver=self.driver.to_core(),
            gate=gate_path(self),
            load=self.load.to_core(),
            freewheel=self.freewheel.to_core(self.freewheel_temperature) if self.freewheel else None,
            snubber=self.snubber.to_core() if self.snubber else None,
            drain_source_clamp=self.drain_source_clamp.to_core() if self.drain_source_clamp else None,
            drain_gate_clamp=self.drain_gate_clamp.to_core() if self.drain_gate_clamp else None,
            rcd_clamp=self.rcd_clamp.to_core() if self.rcd_clamp else None,
            wiring=fill(_core.Wiring(), **{name: getattr(self, name) for name in wiring}),
            **self._cooled_parts(),
        )

    def _cooled_parts(self) -> dict[str, Any]:
        if self.cooling is None:
            return {}
        ways = {"mosfet": self.cooling.mosfet, "freewheel": self.cooling.freewheel}
        return {
            f"cooled_{name}": getattr(self, name).cooled_to_core(way.to_core(self.cooling.ambient))
            for name, way in ways.items()
            if way is not None
        }

    def gate_network_current(self, voltage: ArrayLike) -> NDArray[np.float64]:
        """Current [A] from driver to gate through gate resistor and steering branch.

        Args:
            voltage: across both, from the driver's output to the gate wiring [V], of any shape.

        Raises:
            ValueError: the gate resistance is zero.
        """
        across = np.asarray(voltage, dtype=np.float64)
        if self.gate_resistance == 0.0:
            raise ValueError("the gate resistance is zero: its current does not follow from a voltage")
        steering = gate_path(self).steering
        bypass = 0.0 if steering is None else _core.knee_current(steering, -across)
        return across / self.gate_resistance - bypass
