"""Gate drivers."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from . import _core
from .core import fill
from .model import Model, Quantity, at_least, positive

__all__ = ["PushPullDriver"]

# Knee of the output drops: a fraction of a volt, as of the transistor junctions that cause them.
_DROP_WIDTH = 0.05


class PushPullDriver(Model):
    """Output stage that connects the gate to the supply rail (on) or to the off-state rail (off).

    Each side is a resistance, with a smooth current limit and a voltage drop where given.
    """

    supply_voltage: Annotated[
        float, Quantity("V", "On-state rail.", allowed=positive(60.0), usual=at_least(2.5, 20.0))
    ]
    off_voltage: Annotated[
        float,
        Quantity(
            "V", "Off-state rail, zero or negative.", allowed=at_least(-30.0, 0.0), usual=at_least(-15.0, 0.0)
        ),
    ] = 0.0
    source_resistance: Annotated[
        float,
        Quantity(
            "ohm",
            "Output resistance while it charges the gate.",
            allowed=positive(1e4),
            usual=at_least(0.1, 300.0),
        ),
    ]
    sink_resistance: Annotated[
        float,
        Quantity(
            "ohm",
            "Output resistance while it discharges the gate.",
            allowed=positive(1e4),
            usual=at_least(0.1, 300.0),
        ),
    ]
    source_current_limit: Annotated[
        float | None,
        Quantity(
            "A",
            "Most it can source; left out: no limit.",
            allowed=positive(200.0),
            usual=at_least(1e-3, 30.0),
        ),
    ] = None
    sink_current_limit: Annotated[
        float | None,
        Quantity(
            "A", "Most it can sink; left out: no limit.", allowed=positive(200.0), usual=at_least(1e-3, 30.0)
        ),
    ] = None
    source_drop: Annotated[
        float,
        Quantity("V", "Lost below the supply rail.", allowed=at_least(0.0, 10.0), usual=at_least(0.05, 3.0)),
    ] = 0.0
    sink_drop: Annotated[
        float,
        Quantity(
            "V", "Left above the off-state rail.", allowed=at_least(0.0, 10.0), usual=at_least(0.05, 3.0)
        ),
    ] = 0.0
    leakage_resistance: Annotated[
        float,
        Quantity(
            "ohm",
            "From the output to the rail it is driven to, beside drops and limits.",
            allowed=positive(1e12),
            usual=at_least(1e3, 1e9),
        ),
    ] = 100e3
    rise_time: Annotated[
        float,
        Quantity(
            "s", "Of its unloaded output, rail to rail.", allowed=positive(1e-4), usual=at_least(0.5e-9, 1e-6)
        ),
    ]
    fall_time: Annotated[
        float,
        Quantity(
            "s", "Of its unloaded output, rail to rail.", allowed=positive(1e-4), usual=at_least(0.5e-9, 1e-6)
        ),
    ]
    turn_on_delay: Annotated[
        float,
        Quantity(
            "s", "Command to start of its rise.", allowed=at_least(0.0, 1e-4), usual=at_least(0.5e-9, 2e-6)
        ),
    ] = 0.0
    turn_off_delay: Annotated[
        float,
        Quantity(
            "s", "Command to start of its fall.", allowed=at_least(0.0, 1e-4), usual=at_least(0.5e-9, 2e-6)
        ),
    ] = 0.0
    name: Annotated[str, Field(description="Free text.")] = ""
    source: Annotated[str, Field(description="Where the data come from.")] = ""

    def to_core(self) -> Any:
        """The same as a structure of the C++ core."""
        output = fill(
            _core.DriverOutput(),
            source_resistance=self.source_resistance,
            sink_resistance=self.sink_resistance,
            inverse_source_limit=_inverse(self.source_current_limit),
            inverse_sink_limit=_inverse(self.sink_current_limit),
            source_drop=self.source_drop,
            sink_drop=self.sink_drop,
            drop_width=_DROP_WIDTH,
            leakage_conductance=1.0 / self.leakage_resistance,
        )
        timing = fill(
            _core.CommandTiming(),
            turn_on_delay=self.turn_on_delay,
            turn_off_delay=self.turn_off_delay,
            rise_time=self.rise_time,
            fall_time=self.fall_time,
        )
        return fill(
            _core.PushPullDriver(),
            output=output,
            supply_voltage=self.supply_voltage,
            off_voltage=self.off_voltage,
            timing=timing,
        )


def _inverse(limit: float | None) -> float:
    """1/limit [1/A]; the core writes "no limit" as zero."""
    return 0.0 if limit is None else 1.0 / limit
