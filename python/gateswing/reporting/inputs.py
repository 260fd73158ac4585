"""Every input of a design with its value, what is usual, and whether anybody stated it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from ..document import exact_text
from ..model import Model, Quantity

__all__ = ["InputGroup", "InputRow", "input_groups"]


class InputRow(NamedTuple):
    """One field.

    Attributes:
        name: of the field.
        value: with its unit, in digits that read back exactly; empty where it is left out.
        usual: range of values, in words; empty where the field is text.
        origin: ``stated``, ``default`` (stated or not, the value is the default) or ``left out``.
        is_unusual: whether the value is outside the usual range.
        meaning: in a sentence.
    """

    name: str
    value: str
    usual: str
    origin: str
    is_unusual: bool
    meaning: str


class InputGroup(NamedTuple):
    """The fields of one part, which stands at a dotted path."""

    path: str
    rows: tuple[InputRow, ...]


def input_groups(model: Model, path: str = "") -> Iterator[InputGroup]:
    """The fields of a description and of all parts in it, part by part."""
    parts: list[tuple[str, Model]] = []
    rows = []
    for name in type(model).model_fields:
        value = getattr(model, name)
        below = f"{path}.{name}".lstrip(".")
        if isinstance(value, Model):
            parts.append((below, value))
        elif isinstance(value, tuple) and value and all(isinstance(item, Model) for item in value):
            parts += [(f"{below}[{index}]", item) for index, item in enumerate(value)]
        else:
            rows.append(_row(model, name, value))
    if rows:
        yield InputGroup(path, tuple(rows))
    for below, part in parts:
        yield from input_groups(part, below)


def _row(model: Model, name: str, value: Any) -> InputRow:
    field = type(model).model_fields[name]
    kind = model.quantity_of(name) or model.entry_quantity_of(name)
    is_default = not field.is_required() and value == field.default and name not in model.always_written
    origin = "left out" if value is None else "default" if is_default else "stated"
    meaning = field.description or (kind.doc if kind else "")
    words = name.replace("_", " ")
    return InputRow(words, _text(value, kind), _usual(kind), origin, _is_unusual(value, kind), meaning)


def _text(value: Any, kind: Quantity | None) -> str:
    if value is None:
        return ""
    if isinstance(value, tuple):
        return ", ".join(_text(one, kind) for one in value)
    return str(exact_text(value, kind.unit) if kind else value)


def _usual(kind: Quantity | None) -> str:
    if kind is None:
        return ""
    return kind.usual.text(kind.unit) if kind.usual else f"any allowed: {kind.allowed.text(kind.unit)}"


def _is_unusual(value: Any, kind: Quantity | None) -> bool:
    several = value if isinstance(value, tuple) else (value,)
    return kind is not None and any(kind.is_unusual(one) for one in several if one is not None)
