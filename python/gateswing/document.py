"""Files in TOML: descriptions as nested tables, with the version of their layout and units written out."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any, Self

import tomli_w

from .errors import InputError, InputProblem, shown
from .model import Model
from .quantities import Interval, QuantityError, QuantityKind, format_quantity, parse_quantity

__all__ = ["Document", "exact_text", "read_tables", "table_of", "write_tables"]

SCHEMA = 1

# They bound time and memory: a description is a few pages, and the parser's time grows with the cube of the
# parts of a key.
_MOST_BYTES = 1 << 20
_MOST_DEPTH = 16
_LONGEST_REASON = 200  # characters of what the parser says
_PART = r"""(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')"""
# Of a line that is shown with what it lacks: where it is, a bare value, and one with a decimal comma.
_LONGEST_LINE = 200
_PLACE = re.compile(r"\(at line (\d+)")
_BARE = re.compile(r"""\s*([\w.-]+)\s*=\s*([^\s"'\[{#][^"'#,\[\]{}]*?)\s*(?:#.*)?""")
_COMMA = re.compile(r"""\s*([\w.-]+)\s*=\s*([+-]?\d+),(\d+)\s*(?:#.*)?""")
_LONG_KEY = re.compile(rf"(?<![\w-]){_PART}(?:[ \t]*\.[ \t]*{_PART}){{{_MOST_DEPTH}}}")


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
            given = None if schema is None else shown(schema)
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
        return cls.from_mapping(read_tables(path))

    def write(self, path: str | Path) -> None:
        """Write a file that :meth:`read` reads back as the same description."""
        write_tables(self.to_mapping(), path)


def write_tables(tables: Mapping[str, Any], path: str | Path) -> None:
    """Write nested tables as TOML."""
    Path(path).write_text(tomli_w.dumps(tables), encoding="utf-8")


def read_tables(path: str | Path | Traversable) -> dict[str, Any]:
    """The nested tables of a TOML file.

    Raises:
        InputError: the file is missing, is no TOML, or is larger or nested deeper than any description.
    """
    try:
        with (Path(path) if isinstance(path, str) else path).open("rb") as file:
            content = file.read(_MOST_BYTES + 1)
        if len(content) > _MOST_BYTES:
            raise _bad_file(path, f"larger than {_MOST_BYTES} bytes, which no description is.")
        text = content.decode("utf-8-sig")  # some editors put a byte order mark
        if _LONG_KEY.search(text):
            raise RecursionError
        tables = tomllib.loads(text.replace("\r\n", "\n"))
        _require_shallow(tables)
    except OSError as error:
        raise _bad_file(path, f"cannot be read: {error.strerror}.") from None
    except UnicodeDecodeError:
        raise _bad_file(path, "not text in UTF-8.") from None
    except RecursionError:
        raise _bad_file(path, f"nested deeper than {_MOST_DEPTH} tables.") from None
    except InputError:
        raise
    except ValueError as error:  # numbers of too many digits among them, which the parser leaves to Python
        hint = _quotes_hint(text, str(error)) if isinstance(error, tomllib.TOMLDecodeError) else ""
        raise _bad_file(path, f"not TOML: {str(error)[:_LONGEST_REASON]}.", hint) from None
    return tables


def _quotes_hint(text: str, error: str) -> str:
    """What a line lacks that would be right but for its quotes, or its decimal point; else nothing."""
    place = _PLACE.search(error)
    if place is None:
        return ""
    number = int(place[1])
    line = text.replace("\r\n", "\n").split("\n")[number - 1]
    if len(line) > _LONGEST_LINE:
        return ""
    comma, bare = _COMMA.fullmatch(line), _BARE.fullmatch(line)
    if comma:
        return f"Line {number}: write the decimal sign as a point, {comma[1]} = {comma[2]}.{comma[3]}"
    if bare:
        return f'Line {number}: put a text or a number with its unit in quotes, {bare[1]} = "{bare[2]}"'
    return ""


def _bad_file(path: object, reason: str, hint: str = "") -> InputError:
    return InputError([InputProblem("file", repr(str(path)), reason, hint=hint)])


def _require_shallow(table: object, depth: int = 0) -> None:
    """What works through the tables later calls itself for each level."""
    if isinstance(table, dict | list):
        if depth > _MOST_DEPTH:
            raise RecursionError
        for value in table.values() if isinstance(table, dict) else table:
            _require_shallow(value, depth + 1)


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
