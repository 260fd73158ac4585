"""Design files: a cell, how it is operated and what it must keep to, in TOML."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any, Self

from pydantic import Field, model_validator

from ..document import Document
from ..errors import InputError, InputProblem
from ..model import Model, Quantity, at_least, between, positive
from ..quantities import Interval
from .cell import LowSideCell
from .temperature import USUAL_JUNCTION_RATING

__all__ = ["Design", "Limits", "Operation", "read_design", "write_design"]


class Operation(Model):
    """How the cell is run: switched on and off for ever at one frequency and duty cycle."""

    frequency: Annotated[
        float, Quantity("Hz", "Switching frequency.", allowed=positive(50e6), usual=at_least(1.0, 2e6))
    ]
    duty: Annotated[
        float,
        Quantity("", "Share of the period for which the driver is commanded on.", allowed=at_least(0.0, 1.0)),
    ]


def _junction(doc: str) -> Quantity:
    return Quantity("K", doc, allowed=at_least(233.15, 573.15), usual=at_least(333.15, 473.15))


# Of the period, between the commanded on-time and the one of the drain; common practice, no source.
_USUAL_DUTY_ERROR = 0.1


class Limits(Model):
    """What the design must keep to. A limit left out is not judged, where it does not say what holds instead.

    :meth:`for_cell` says all that holds for a cell.
    """

    maximum_drain_voltage: Annotated[
        float | None,
        Quantity(
            "V",
            "Peak v_DS at the die; left out: the rated, else the breakdown one.",
            allowed=positive(3e3),
        ),
    ] = None
    maximum_gate_voltage: Annotated[
        float | None,
        Quantity(
            "V",
            "Peak of v_GS at the die, either sign; left out: the MOSFET's rating.",
            allowed=positive(60.0),
        ),
    ] = None
    maximum_overshoot: Annotated[
        float | None, Quantity("V", "Peak v_DS above the bus.", allowed=positive(3e3))
    ] = None
    minimum_efficiency: Annotated[
        float | None, Quantity("", "Load power over load power and losses.", allowed=between(0.0, 1.0))
    ] = None
    maximum_total_loss: Annotated[
        float | None, Quantity("W", "Of the whole cell and its driver.", allowed=positive(1e5))
    ] = None
    maximum_channel_loss: Annotated[
        float | None,
        Quantity(
            "W",
            "Mean heat in the MOSFET: channel, drift region, body diode, breakdown.",
            allowed=positive(1e4),
        ),
    ] = None
    maximum_driver_loss: Annotated[
        float | None, Quantity("W", "Mean heat in the driver's output stage.", allowed=positive(1e3))
    ] = None
    maximum_transition_share: Annotated[
        float | None,
        Quantity(
            "", "Share of the period in which the drain voltage is on its way.", allowed=between(0.0, 1.0)
        ),
    ] = None
    maximum_junction_temperature: Annotated[
        float | None, _junction("Of the MOSFET, where its cooling is given; left out: 150 degC.")
    ] = None
    maximum_freewheel_temperature: Annotated[
        float | None, _junction("Of the freewheel diode, where its cooling is given; left out: 150 degC.")
    ] = None
    maximum_duty_error: Annotated[
        float | None,
        Quantity(
            "",
            "Of the period, between the commanded on-time and that of the drain; left out: 10 %.",
            allowed=between(0.0, 1.0),
        ),
    ] = None
    maximum_avalanche_energy: Annotated[
        float | None,
        Quantity(
            "J",
            "Heat in the MOSFET's breakdown at each turn-off, of the repetitive rating; left out: none.",
            allowed=positive(100.0),
            usual=at_least(1e-6, 1.0),
        ),
    ] = None
    margin: Annotated[
        float,
        Quantity(
            "",
            "A limit held by less than this share of itself is called marginal; common practice, no source.",
            allowed=Interval(0.0, 1.0, high_open=True),
        ),
    ] = 0.1

    def for_cell(self, cell: LowSideCell) -> Self:
        """These limits, where they state none with what holds instead: ratings, and common practice.

        The temperature of a part whose cooling the cell does not give has no limit. An avalanche energy that
        is left out stays so: none is allowed.
        """
        cooled = {
            "maximum_junction_temperature": cell.cooling is not None and cell.cooling.mosfet is not None,
            "maximum_freewheel_temperature": cell.cooling is not None and cell.cooling.freewheel is not None,
        }
        temperatures = {
            name: (getattr(self, name) or USUAL_JUNCTION_RATING) if found else None
            for name, found in cooled.items()
        }
        return self.replace(
            temperatures,
            maximum_drain_voltage=self.maximum_drain_voltage or cell.mosfet.drain_voltage_rating,
            maximum_gate_voltage=self.maximum_gate_voltage or cell.mosfet.maximum_gate_voltage,
            maximum_duty_error=self.maximum_duty_error or _USUAL_DUTY_ERROR,
        )


class Design(Document):
    """All that a design file says."""

    title: Annotated[str, Field(description="Free text.")] = ""
    note: Annotated[str, Field(description="Free text: origin of the data, assumptions.")] = ""
    cell: Annotated[LowSideCell, Field(description="The circuit.")]
    operation: Annotated[Operation, Field(description="Frequency and duty cycle.")]
    limits: Annotated[Limits, Field(description="What must hold.")] = Limits()

    @classmethod
    def from_mapping(cls, data: Mapping[str, Any]) -> Self:
        """Build from the nested tables of a file; another kind of file is named.

        Raises:
            InputError: with every problem found, each with its dotted path.
        """
        if "cell" not in data and "breakdown_voltage" in data:
            hint = "`gateswing fit` takes a data sheet; with --output it writes the MOSFET of a design file."
            raise InputError([InputProblem("file", None, "is a data sheet and no design.", hint=hint)])
        if "cell" not in data and data.keys() & {"mosfet", "diode", "driver"}:
            hint = 'Name the part in a design file, as in [cell.mosfet] part = "logic-60V".'
            raise InputError([InputProblem("file", None, "is a part and no design.", hint=hint)])
        cell = data.get("cell")
        if isinstance(cell, Mapping) and cell.keys() & {"high", "low"}:
            hint = "Describe it as a HalfBridgeCell in Python and ask half_bridge_point."
            raise InputError(
                [
                    InputProblem(
                        "cell", None, "is a half bridge; a design file takes a low-side cell.", hint=hint
                    )
                ]
            )
        return super().from_mapping(data)

    @model_validator(mode="after")
    def _can_be_judged(self) -> Self:
        require_cooling(self.cell, self.limits, "limits.")
        return self


def require_cooling(cell: LowSideCell, limits: Limits, prefix: str = "") -> None:
    """Refuse a limit on a temperature that is not computed.

    Raises:
        InputError: the cell does not say how the part is cooled.
    """
    for part, name in (
        ("mosfet", "maximum_junction_temperature"),
        ("freewheel", "maximum_freewheel_temperature"),
    ):
        if getattr(limits, name) is not None and (
            cell.cooling is None or getattr(cell.cooling, part) is None
        ):
            reason = f"cannot be judged: the cell does not say how its {part} is cooled."
            raise InputError([InputProblem(f"{prefix}{name}", None, reason, hint=f"Give cooling.{part}.")])


def read_design(path: str | Path) -> Design:
    """Read a design file in TOML.

    Raises:
        InputError: the file is missing, is no TOML, or says something that cannot be used.
    """
    return Design.read(path)


def write_design(design: Design, path: str | Path) -> None:
    """Write a design file that :func:`read_design` reads back as the same design."""
    design.write(path)
