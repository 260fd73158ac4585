"""A MOSFET between bus and load whose driver stands on ground: a source follower, mostly by accident."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Annotated

import numpy as np

from ..circuit.loads import AnyLoad, BaseLoad, Load
from ..circuit.mosfet import Mosfet
from ..errors import InputError, InputProblem, TopologyWarning, issue
from ..figures import Figures, Meaning
from ..model import Model, Quantity, argument, positive
from ..quantities import format_quantity

__all__ = ["SourceFollower", "source_follower"]

_BUS = Quantity("V", "At the drain.", allowed=positive(1500.0))
_DRIVE = Quantity("V", "Of the driver's output against ground.", allowed=positive(1500.0))
# Share of the bus from which the MOSFET keeps so much that it does not count as a switch; common practice.
_MUCH = 0.05


@dataclass(frozen=True, repr=False)
class SourceFollower(Figures):
    """Where the source settles while the driver is on."""

    source_voltage: Annotated[float, Meaning("V", "of the source against ground, across the load")]
    gate_source_voltage: Annotated[float, Meaning("V", "that is left of the drive")]
    drain_source_voltage: Annotated[float, Meaning("V", "that the MOSFET keeps for itself")]
    current: Annotated[float, Meaning("A", "of the load")]
    power: Annotated[float, Meaning("W", "heat in the MOSFET, all the while it is on")]
    power_as_switch: Annotated[
        float, Meaning("W", "heat with the same drive between gate and source, at the current of then")
    ]
    drive_needed: Annotated[float, Meaning("V", "of the gate against ground, for the same drive")]

    @property
    def is_linear(self) -> bool:
        """Whether the MOSFET keeps more than a twentieth of the bus for itself."""
        return self.drain_source_voltage > _MUCH * (self.source_voltage + self.drain_source_voltage)

    def sentence(self) -> str:
        """The same in words."""
        left, kept, needed = (
            format_quantity(value, "V", 3)
            for value in (self.gate_source_voltage, self.drain_source_voltage, self.drive_needed)
        )
        heat, best = (format_quantity(value, "W", 2) for value in (self.power, self.power_as_switch))
        return (
            f"the source rises with the load until {left} are left between gate and source; the MOSFET keeps "
            f"{kept} for itself and turns {heat} into heat, against {best} as a switch. Put it between load "
            f"and ground, or lift its gate to {needed} by a driver that stands on the source."
        )


class _Described(Model):
    """Takes part and load as a cell does: as objects, by name or as tables of their fields."""

    mosfet: Mosfet
    load: AnyLoad


def source_follower(
    mosfet: Mosfet | str,
    *,
    bus_voltage: float | str,
    drive_voltage: float | str,
    load: BaseLoad | Mapping[str, object],
) -> SourceFollower:
    """What an N-channel MOSFET above its load does when its driver stands on ground.

    At rest v_GS = V_drive - v_S and v_DS = V_bus - v_S - R_drift i, where v_S = R i + E is the voltage of
    the load: the channel then carries i. Textbook; solved by bracketing, for the channel's current falls with
    v_S and that of the load rises. An inductance has no say in this; a constant current has no voltage of its
    own.

    Args:
        mosfet: or its name in the library; at 25 degrees Celsius.
        bus_voltage: at the drain [V].
        drive_voltage: of the driver's output, against ground [V].
        load: from source to ground.

    Raises:
        InputError: an argument is out of range, there is no such part, or the load is a constant current or
            has no resistance.
    """
    bus = argument("bus_voltage", bus_voltage, _BUS)
    drive = argument("drive_voltage", drive_voltage, _DRIVE)
    described = _Described(mosfet=mosfet, load=load)
    fet, chosen = described.mosfet, _require_resistance(described.load)
    current = _settled(fet, chosen, bus, lambda source: drive - source)
    source = _across(chosen, current)
    as_switch = _settled(fet, chosen, bus, lambda _: drive)
    kept = bus - _across(chosen, as_switch)
    found = SourceFollower(
        source_voltage=source,
        gate_source_voltage=drive - source,
        drain_source_voltage=bus - source,
        current=current,
        power=(bus - source) * current,
        power_as_switch=kept * as_switch,
        drive_needed=drive + _across(chosen, as_switch),
    )
    if found.is_linear:
        issue([TopologyWarning("load", found.sentence())])
    return found


def _across(load: BaseLoad, current: float) -> float:
    """Voltage of the load at a constant current [V]."""
    return float(load.to_core().resistance) * current + load.opposing_voltage(current)


def _settled(mosfet: Mosfet, load: BaseLoad, bus: float, gate_source: Callable[[float], float]) -> float:
    """Current [A] that channel and load agree on, v_GS [V] a function of the load's voltage."""
    from scipy.optimize import brentq  # type: ignore[import-untyped]

    def excess(current: float) -> float:
        across = _across(load, current)
        inside = bus - across - mosfet.drift_resistance * current
        return float(np.asarray(mosfet.channel_current(gate_source(across), inside))) - current

    most = load.settled_current(bus, mosfet.drift_resistance)
    return float(brentq(excess, 0.0, most, xtol=1e-12 * max(most, 1.0))) if most > 0.0 else 0.0


def _require_resistance(load: BaseLoad) -> BaseLoad:
    if isinstance(load, Load) and (load.constant_current is not None or load.resistance == 0.0):
        reason = "a source follower takes its voltage from a load with a resistance."
        raise InputError([InputProblem("load", None, reason, hint="Give the resistance.")])
    return load
