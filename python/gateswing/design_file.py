"""Design files: a cell, how it is operated and what it must keep to, in TOML."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any, Self

import tomli_w
from pydantic import Field

from .cell import LowSideCell
from .errors import InputError, InputProblem
from .model import Model, Quantity, at_least, between, positive
from .quantities import Interval, QuantityKind, format_quantity, parse_quantity

__all__ = [
    "SCHEMA",
    "Design",
    "Limits",
    "Operation",
    "read_design",
    "read_tables",
    "table_of",
    "without_schema",
    "write_design",
    "write_tables",
]

SCHEMA = 1


class Operation(Model):
    """How the cell is run: switched on and off for ever at one frequency and duty cycle."""

    frequency: Annotated[
        float, Quantity("Hz", "Switching frequency.", allowed=positive(50e6), usual=at_least(1.0, 2e6))
    ]
    duty: Annotated[
        float,
        Quantity("", "Share of the period for which the driver is commanded on.", allowed=at_least(0.0, 1.0)),
    ]


class Limits(Model):
    """What the design must keep to. A limit left out is not checked, except the two ratings of the MOSFET."""

    maximum_drain_voltage: Annotated[
        float | None,
        Quantity(
            "V", "Peak v_DS at the die; left out: the MOSFET's breakdown voltage.", allowed=positive(3e3)
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
    margin: Annotated[
        float,
        Quantity(
            "",
            "A limit held by less than this share of itself is called marginal; common practice, no source.",
            allowed=Interval(0.0, 1.0, high_open=True),
        ),
    ] = 0.1


class Design(Model):
    """All that a design file says."""

    title: Annotated[str, Field(description="Free text.")] = ""
    note: Annotated[str, Field(description="Free text: origin of the data, assumptions.")] = ""
    cell: Annotated[LowSideCell, Field(description="The circuit.")]
    operation: Annotated[Operation, Field(description="Frequency and duty cycle.")]
    limits: Annotated[Limits, Field(description="What must hold.")] = Limits()

    @classmethod
    def from_mapping(cls, data: Mapping[str, Any]) -> Self:
        """Build from the nested tables of a design file.

        Raises:
            InputError: with every problem found, each with its dotted path.
        """
        return cls(**without_schema(data))

    def to_mapping(self) -> dict[str, Any]:
        """Nested tables with units written out; what has its default is left out."""
        return {"schema": SCHEMA} | table_of(self)


def read_design(path: str | Path) -> Design:
    """Read a design file.

    Raises:
        InputError: the file is missing, is no TOML, or says something that cannot be used.
    """
    return Design.from_mapping(read_tables(path))


def without_schema(data: Mapping[str, Any]) -> dict[str, Any]:
    """The tables without the version of their layout.

    Raises:
        InputError: the version is missing or unknown.
    """
    schema = data.get("schema")
    if schema != SCHEMA:
        given = None if schema is None else repr(schema)
        reason = "missing." if schema is None else "unknown version of the layout."
        raise InputError(
            [InputProblem("schema", given, reason, str(SCHEMA), f"Write schema = {SCHEMA} on top.")]
        )
    return {key: value for key, value in data.items() if key != "schema"}


def read_tables(path: str | Path) -> dict[str, Any]:
    """The nested tables of a TOML file.

    Raises:
        InputError: the file is missing or is no TOML.
    """
    try:
        return tomllib.loads(Path(path).read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError(
            [InputProblem("file", repr(str(path)), f"cannot be read: {error.strerror}.")]
        ) from None
    except UnicodeDecodeError:
        raise InputError([InputProblem("file", repr(str(path)), "not text in UTF-8.")]) from None
    except tomllib.TOMLDecodeError as error:
        raise InputError([InputProblem("file", repr(str(path)), f"not TOML: {error}.")]) from None


def write_tables(tables: Mapping[str, Any], path: Path) -> None:
    """Write nested tables as TOML.

    Raises:
        InputError: the file cannot be written.
    """
    try:
        path.write_text(tomli_w.dumps(tables), encoding="utf-8")
    except OSError as error:
        reason = f"cannot be written: {error.strerror}."
        raise InputError([InputProblem("output", repr(str(path)), reason)]) from None


def write_design(design: Design, path: str | Path) -> None:
    """Write a design file that :func:`read_design` reads back as the same design."""
    Path(path).write_text(tomli_w.dumps(design.to_mapping()), encoding="utf-8")


def table_of(model: Model) -> dict[str, Any]:
    """Nested tables of a description, with units; what has its default is left out."""
    table: dict[str, Any] = {}
    for name, field in type(model).model_fields.items():
        value = getattr(model, name)
        is_default = not field.is_required() and value == field.default
        if value is None or (is_default and name not in model.always_written):
            continue
        kind = model.quantity_of(name)
        if isinstance(value, Model):
            table[name] = table_of(value)
        elif isinstance(value, tuple):
            table[name] = [table_of(item) for item in value]
        elif kind is not None:
            table[name] = _exact_text(value, kind.unit)
        else:
            table[name] = value
    return table


def _exact_text(value: float, unit: str) -> str | float:
    """With a unit, in the fewest digits that read back as the same number."""
    if unit == "":
        return value
    for digits in range(3, 16):
        text = format_quantity(value, unit, digits)
        if _reads_back(text, value, unit):
            return text
    return f"{value!r} {unit}" if unit != "1/V" else f"{value!r} /V"


def _reads_back(text: str, value: float, unit: str) -> bool:
    anything = Interval(float("-inf"), float("inf"))
    return parse_quantity(text, QuantityKind(unit, "", anything)) == value
