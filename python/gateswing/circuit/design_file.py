"""Design files: a cell, how it is operated and what it must keep to, in TOML."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any, Self

from pydantic import Field, model_validator

from ..document import Document, read_tables
from ..errors import InputError, InputProblem
from ..model import Model, Quantity, at_least, between, positive, require_model
from .bridge_limits import BridgeLimits
from .cell import LowSideCell
from .half_bridge import HalfBridgeCell
from .limit_kinds import MARGIN, junction_limit
from .operation import BridgeOperation, Operation
from .temperature import USUAL_JUNCTION_RATING

__all__ = ["BridgeDesign", "Design", "Limits", "read_design", "require_low_side", "write_design"]


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
        float | None, junction_limit("Of the MOSFET, where its cooling is given; left out: 150 degC.")
    ] = None
    maximum_freewheel_temperature: Annotated[
        float | None,
        junction_limit("Of the freewheel diode, where its cooling is given; left out: 150 degC."),
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
    margin: Annotated[float, MARGIN] = 0.1

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


class BaseDesign(Document):
    """What design files of either kind begin with."""

    title: Annotated[str, Field(description="Free text.")] = ""
    note: Annotated[str, Field(description="Free text: origin of the data, assumptions.")] = ""


class Design(BaseDesign):
    """All that a design file of a low-side cell says."""

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
            hint = "Name the table half_bridge."
            raise InputError([InputProblem("cell", None, "is a half bridge, no low-side cell.", hint=hint)])
        if "half_bridge" in data:
            if cell is not None:
                hint = "Give each a file of its own."
                raise InputError([InputProblem("half_bridge", None, "stands beside a cell.", hint=hint)])
            hint = "For half bridges there are `gateswing check`, `gateswing report` and gs.sweep."
            reason = "is a half bridge, where a low-side cell is wanted."
            raise InputError([InputProblem("half_bridge", None, reason, hint=hint)])
        return super().from_mapping(data)

    @model_validator(mode="after")
    def _can_be_judged(self) -> Self:
        require_cooling(self.cell, self.limits, "limits.")
        return self


class BridgeDesign(BaseDesign):
    """All that a design file of a half bridge says."""

    half_bridge: Annotated[HalfBridgeCell, Field(description="The circuit.")]
    operation: Annotated[BridgeOperation, Field(description="Frequency, duty cycle and dead time.")]
    limits: Annotated[BridgeLimits, Field(description="What must hold.")] = BridgeLimits()

    @model_validator(mode="after")
    def _can_be_judged(self) -> Self:
        problems = [
            InputProblem(f"limits.{name}", None, "cannot be judged.", hint=f"Give {lacking}.")
            for name, lacking in self.limits.unjudgeable(self.half_bridge)
        ]
        if self.half_bridge.load is None:
            reason = "is left out, but a steady state needs it."
            problems.append(InputProblem("half_bridge.load", None, reason))
        if problems:
            raise InputError(problems)
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


def require_low_side(design: object) -> None:
    """Refuse what is no design of a low-side cell.

    Raises:
        InputError: it is something else.
    """
    require_model("design", design, Design, "On a half bridge there are check, report and sweep.")


def read_design(path: str | Path) -> Design | BridgeDesign:
    """Read a design file in TOML: with the table ``half_bridge`` of a half bridge, else of a low-side cell.

    ``Design.read`` and ``BridgeDesign.read`` take one kind alone.

    Raises:
        InputError: the file is missing, is no TOML, or says something that cannot be used.
    """
    tables = read_tables(path)
    kind = BridgeDesign if "half_bridge" in tables and "cell" not in tables else Design
    return kind.from_mapping(tables)


def write_design(design: Design | BridgeDesign, path: str | Path) -> None:
    """Write a design file that :func:`read_design` reads back as the same design."""
    design.write(path)
