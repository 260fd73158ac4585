"""Fields of descriptions and figures of results in the reference: unit, meaning, range and default of each.

They are stated once, beside the field, from where errors and printed tables take them too.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

__all__ = ["setup"]


# A line for several attributes, as the extension that reads docstrings leaves it.
_SEVERAL = re.compile(r"(?<=^:ivar )\w+(?:, \w+)+(?=:)")


def setup(app: Any) -> dict[str, Any]:
    """Add the tables to what autodoc finds."""
    app.connect("autodoc-process-docstring", _add, priority=600)
    return {"parallel_read_safe": True}


def _add(app: Any, what: str, name: str, documented: Any, options: Any, lines: list[str]) -> None:  # noqa: ARG001
    from gateswing.figures import Figures
    from gateswing.model import Model

    if what != "class":
        return
    lines[:] = [_SEVERAL.sub(_as_one_name, line) for line in lines]
    rows: list[tuple[str, ...]] = []
    if issubclass(documented, Model):
        rows = [("field", "unit", "meaning", "allowed", "usual", "left out"), *_fields(documented)]
    elif issubclass(documented, Figures):
        rows = [("figure", "unit", "meaning"), *_figures(documented)]
    if len(rows) > 1:
        lines += ["", *_table(rows), ""]


def _as_one_name(names: re.Match[str]) -> str:
    """What stands before a space would be taken for a type."""
    return names[0].replace(" ", "")


def _fields(model: Any) -> Iterator[tuple[str, ...]]:
    for name, field in model.model_fields.items():
        kind = model.quantity_of(name)
        stated = field.get_default(call_default_factory=True)
        default = "required" if field.is_required() else _default(stated, kind)
        if kind is None:
            yield f"``{name}``", "", field.description or "", "", "", default
        else:
            usual = kind.usual.text(kind.unit) if kind.usual else ""
            yield f"``{name}``", kind.unit, kind.doc, kind.allowed.text(kind.unit), usual, default


def _default(value: object, kind: Any) -> str:
    from gateswing.model import Model
    from gateswing.quantities import format_quantity

    if value is None or value == "" or isinstance(value, Model):
        return "optional"
    return format_quantity(value, kind.unit) if kind and isinstance(value, float) else str(value)


def _figures(figures: Any) -> Iterator[tuple[str, ...]]:
    definitions = figures.definitions()
    for name, unit in figures.units().items():
        yield f"``{name}``", unit, definitions[name]


def _table(rows: list[tuple[str, ...]]) -> Iterator[str]:
    yield from [".. list-table::", "   :header-rows: 1", "   :class: fields", ""]
    for row in rows:
        for place, cell in enumerate(row):
            yield f"   {'* -' if place == 0 else '  -'} {_plain(cell) if place else cell}".rstrip()


def _plain(text: str) -> str:
    """Nothing in these texts is markup but code between double backquotes."""
    return text.replace("\\", "\\\\").replace("*", "\\*").replace("|", "\\|").replace("_", "\\_")
