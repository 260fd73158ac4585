"""Between driver and gate, and around the power loop: the quantities that every cell has."""

from __future__ import annotations

from typing import Any, Protocol

from .. import _core
from ..core import fill
from ..model import Quantity, at_least, positive

__all__ = [
    "BARE_DIODE_RESISTANCE",
    "COMMON_SOURCE_INDUCTANCE",
    "GATE_INDUCTANCE",
    "GATE_RESISTANCE",
    "LOOP_INDUCTANCE",
    "LOOP_RESISTANCE",
    "PULL_DOWN_RESISTANCE",
    "STEERING_DIODE_VOLTAGE",
    "TURN_OFF_GATE_RESISTANCE",
    "gate_path",
]

GATE_RESISTANCE = Quantity(
    "ohm",
    "Resistor between driver and gate pin.",
    allowed=at_least(0.0, 1e6),
    usual=at_least(0.1, 1e4),
)
TURN_OFF_GATE_RESISTANCE = Quantity(
    "ohm",
    "Resistor in series with a steering diode that bypasses gate_resistance at turn-off; left out:"
    " no such diode.",
    allowed=at_least(0.0, 1e6),
    usual=at_least(0.1, 1e4),
)
STEERING_DIODE_VOLTAGE = Quantity(
    "V", "Knee of the steering diode.", allowed=positive(5.0), usual=at_least(0.2, 1.2)
)
GATE_INDUCTANCE = Quantity(
    "H",
    "Wiring from driver to gate pin and back.",
    allowed=at_least(0.0, 10e-6),
    usual=at_least(0.1e-9, 500e-9),
)
PULL_DOWN_RESISTANCE = Quantity(
    "ohm",
    "Gate pin to source pin; left out: none.",
    allowed=positive(1e8),
    usual=at_least(100.0, 1e7),
)
LOOP_INDUCTANCE = Quantity(
    "H",
    "Power loop outside the packages.",
    allowed=at_least(0.0, 100e-6),
    usual=at_least(0.5e-9, 2e-6),
)
LOOP_RESISTANCE = Quantity(
    "ohm", "Power loop outside the packages.", allowed=at_least(0.0, 10.0), usual=at_least(1e-5, 1.0)
)
COMMON_SOURCE_INDUCTANCE = Quantity(
    "H",
    "Shared by gate and power loop outside the package.",
    allowed=at_least(0.0, 1e-6),
    usual=at_least(0.05e-9, 50e-9),
)

# Resistance the steering diode shows in conduction when no resistor is in series with it.
BARE_DIODE_RESISTANCE = 0.1
# Softness of the steering diode's knee.
_STEERING_KNEE = 0.03


class _HasGatePath(Protocol):
    @property
    def gate_resistance(self) -> float: ...
    @property
    def turn_off_gate_resistance(self) -> float | None: ...
    @property
    def steering_diode_voltage(self) -> float: ...
    @property
    def gate_inductance(self) -> float: ...
    @property
    def pull_down_resistance(self) -> float | None: ...


def gate_path(model: _HasGatePath) -> Any:
    """What lies between driver and gate of a cell or switch, as a structure of the C++ core."""
    steering = None
    if model.turn_off_gate_resistance is not None:
        steering = fill(
            _core.KneeConduction(),
            knee_voltage=model.steering_diode_voltage,
            slope_resistance=model.turn_off_gate_resistance + BARE_DIODE_RESISTANCE,
            knee_width=_STEERING_KNEE,
        )
    return fill(
        _core.GatePath(),
        turn_on_resistance=model.gate_resistance,
        steering=steering,
        inductance=model.gate_inductance,
        pull_down_resistance=model.pull_down_resistance,
    )
