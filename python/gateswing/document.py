"""Files in TOML: descriptions as nested tables, with the version of their layout and units written out."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any, Self

import tomli_w

from .errors import InputError, InputProblem
from .model import Model
from .quantities import Interval, QuantityError, QuantityKind, format_quantity, parse_quantity

__all__ = ["Document", "exact_text", "table_of", "write_tables"]

SCHEMA = 1


class Document(Model):
    """A description that makes up a file of its own."""

    @classmethod
    def from_mapping(cls, data: Mapping[str, Any]) -> Self:
        """Build from the nested tables of a file.

        Raises:
            InputError: with every problem found, each with its dotted path.
        """
        schema = data.get("schema")
        if schema != SCHEMA:
            given = None if schema is None else repr(schema)
            reason = "missing." if schema is None else "unknown version of the layout."
            raise InputError(
                [InputProblem("schema", given, reason, str(SCHEMA), f"Write schema = {SCHEMA} on top.")]
            )
        return cls(**{key: value for key, value in data.items() if key != "schema"})

    def to_mapping(self) -> dict[str, Any]:
        """Nested tables with units written out; what has its default is left out."""
        return {"schema": SCHEMA} | table_of(self)

    @classmethod
    def read(cls, path: str | Path | Traversable) -> Self:
        """Read a file.

        Raises:
            InputError: the file is missing, is no TOML, or says something that cannot be used.
        """
        return cls.from_mapping(_read_tables(path))

    def write(self, path: str | Path) -> None:
        """Write a file that :meth:`read` reads back as the same description."""
        write_tables(self.to_mapping(), path)


def write_tables(tables: Mapping[str, Any], path: str | Path) -> None:
    """Write nested tables as TOML."""
    Path(path).write_text(tomli_w.dumps(tables), encoding="utf-8")


def _read_tables(path: str | Path | Traversable) -> dict[str, Any]:
    """The nested tables of a TOML file.

    Raises:
        InputError: the file is missing or is no TOML.
    """
    try:
        file = Path(path) if isinstance(path, str) else path
        return tomllib.loads(file.read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError(
            [InputProblem("file", repr(str(path)), f"cannot be read: {error.strerror}.")]
        ) from None
    except UnicodeDecodeError:
        raise InputError([InputProblem("file", repr(str(path)), "not text in UTF-8.")]) from None
    except tomllib.TOMLDecodeError as error:
        raise InputError([InputProblem("file", repr(str(path)), f"not TOML: {error}.")]) from None


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
            table[name] = [table_of(item) if isinstance(item, Model) else item for item in value]
        elif kind is not None:
            table[name] = exact_text(value, kind.unit)
        else:
            table[name] = value
    return table


def exact_text(value: float, unit: str) -> str | float:
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
    try:
        return parse_quantity(text, QuantityKind(unit, "", anything)) == value
    except QuantityError:
        return False  # femto and atto are written in print, and not read
