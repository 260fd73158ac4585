"""Part files: one MOSFET, diode or driver in TOML, each value with its range and where it comes from."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Self

from pydantic import Field, model_validator

from ..circuit.diode import Diode
from ..circuit.driver import Driver
from ..circuit.drivers import driver_from
from ..circuit.mosfet import Mosfet
from ..datasheet.sheet import MosfetSheet
from ..document import Document
from ..errors import InputError, InputProblem, shown
from ..model import choice
from ..quantities import format_quantity
from ..tables import html_table, text_table

__all__ = ["CORNERS", "Corner", "Part", "PartFile", "StatedValue"]

CORNERS = ("typ", "min", "max")
# What stands beside the corners in the table of a value.
_REMARKS = ("source", "condition")
_HEADER = ("value", "typ", "min", "max", "condition", "source")

Part = Mosfet | Diode | Driver
Corner = str | Mapping[str, str]
Table = Mapping[str, Any]


@dataclass(frozen=True)
class StatedValue:
    """A value of a part file that is given as a table, with its range or its origin.

    Attributes:
        path: dotted, within the part.
        values: by corner, as given: a number in SI units or text with a unit.
        source: where it comes from; may be empty.
        condition: under which it holds; may be empty.
    """

    path: str
    values: Mapping[str, Any]
    source: str = ""
    condition: str = ""


class PartFile(Document):
    """One part: exactly one of `mosfet`, `diode` and `driver`.

    Their tables are those of a design file, but each value may also be a table such as
    ``{typ = "3 V", min = "2 V", max = "4 V", condition = "1 mA", source = "..."}``.
    """

    title: Annotated[str, Field(description="The part in a few words.")]
    source: Annotated[str, Field(description="Where the data come from, unless a value says otherwise.")]
    note: Annotated[str, Field(description="Free text.")] = ""
    mosfet: Annotated[dict[str, Any] | None, Field(description="Fields of a MOSFET.")] = None
    diode: Annotated[dict[str, Any] | None, Field(description="Fields of a diode.")] = None
    driver: Annotated[dict[str, Any] | None, Field(description="Fields of a driver.")] = None
    sheet: Annotated[
        MosfetSheet | None, Field(description="What a data sheet of the MOSFET prints, for comparison.")
    ] = None

    @model_validator(mode="after")
    def _can_be_built(self) -> Self:
        given = [kind for kind in _BUILDERS if getattr(self, kind) is not None]
        if len(given) != 1:
            found = ", ".join(given) or "none of them"
            reason = f"give exactly one of {', '.join(_BUILDERS)}; there is {found}."
            raise InputError([InputProblem("", None, reason)])
        self.build()
        return self

    @property
    def kind(self) -> str:
        """``mosfet``, ``diode`` or ``driver``."""
        return next(kind for kind in _BUILDERS if getattr(self, kind) is not None)

    @property
    def stated(self) -> tuple[StatedValue, ...]:
        """The values that are given as tables, in the order of the file."""
        return tuple(_stated(getattr(self, self.kind), self.kind))

    def build(self, corner: Corner = "typ") -> Part:
        """The part.

        Args:
            corner: ``typ``, ``min`` or ``max``: that limit of every value that states one. Or the limit of
                single values by dotted path, ``{"channel.threshold_voltage": "max"}``; the rest is typical,
                and a path such as ``channel`` stands for all below it. The lowest of everything is a corner
                of the numbers, and of no part that exists: a low threshold goes with a low on-resistance.

        Raises:
            InputError: no such corner, a value without that limit, or limits that do not fit together or
                are on the wrong side of the typical value.
        """
        stated = self.stated
        chosen = _chosen(corner, stated)
        found = self._built(chosen)
        if set(chosen.values()) - {"typ"}:
            _require_order(stated, chosen, found, self._built({}), self.kind)
        return found

    def _built(self, chosen: Mapping[str, str]) -> Part:
        texts = {"name": self.title, "source": self.source}
        try:
            return _BUILDERS[self.kind](texts | _resolved(getattr(self, self.kind), chosen))
        except InputError as error:
            raise InputError(problem.below(self.kind) for problem in error.problems) from None

    def values(self) -> list[dict[str, Any]]:
        """Every quantity of the part: path, unit, typ, min, max in that unit, condition, source.

        A limit that the file does not state is ``None``.
        """
        stated = {one.path: one for one in self.stated}
        limits = {corner: dict(_numbers(self.build(corner))) for corner in ("min", "max")}
        found = []
        for path, value, kind in self.build().quantities():
            one = stated.get(path, StatedValue(path, {}))
            ends = {corner: limits[corner][path] if corner in one.values else None for corner in limits}
            origin = {"condition": one.condition, "source": one.source}
            found.append({"path": path, "unit": kind.unit, "typ": value} | ends | origin)
        return found

    def rows(self) -> list[tuple[str, ...]]:
        """The same as text."""
        found = []
        for one in self.values():
            numbers = [_text(one[corner], one["unit"]) for corner in CORNERS]
            found.append((one["path"], *numbers, one["condition"], one["source"]))
        return found

    def _heading(self) -> str:
        texts = (f"{self.kind}: {self.title}", self.source, self.note.strip())
        return "\n".join(text for text in texts if text)

    def __repr__(self) -> str:
        return f"{self._heading()}\n\n{text_table(self.rows(), _HEADER, frozenset({1, 2, 3}))}"

    __str__ = __repr__

    def _repr_html_(self) -> str:
        return html_table(self.rows(), _HEADER, self._heading())


_BUILDERS: dict[str, Callable[[dict[str, Any]], Part]] = {
    "mosfet": lambda table: Mosfet(**table),
    "diode": lambda table: Diode(**table),
    "driver": driver_from,
}


def _text(value: float | None, unit: str) -> str:
    return "" if value is None else format_quantity(value, unit)


def _is_value(table: object) -> bool:
    """Whether a table is one value rather than a part of the part."""
    return isinstance(table, Mapping) and any(name in table for name in CORNERS)


def _stated(table: Table, where: str, prefix: str = "") -> Iterator[StatedValue]:
    for name, value in table.items():
        path = f"{prefix}{name}"
        if _is_value(value):
            _require_value_table(value, f"{where}.{path}")
            values = {corner: value[corner] for corner in CORNERS if corner in value}
            yield StatedValue(path, values, value.get("source", ""), value.get("condition", ""))
        elif isinstance(value, Mapping):
            yield from _stated(value, where, f"{path}.")


def _require_value_table(table: Table, path: str) -> None:
    if "typ" not in table:
        hint = "Where only a limit is known, write what you take as typical, and say so in its source."
        raise InputError([InputProblem(f"{path}.typ", None, "missing.", hint=hint)])
    unknown = [name for name in table if name not in CORNERS + _REMARKS]
    allowed = ", ".join(CORNERS + _REMARKS)
    wrong = [(name, "no such field.", allowed) for name in unknown]
    wrong += [(name, "not a text.", "") for name in _REMARKS if not isinstance(table.get(name, ""), str)]
    problems = [InputProblem(f"{path}.{name}", shown(table[name]), *why) for name, *why in wrong]
    if problems:
        raise InputError(problems)


def _resolved(table: Table, chosen: Mapping[str, str], prefix: str = "") -> dict[str, Any]:
    """The table with one number or text for each value."""
    found: dict[str, Any] = {}
    for name, value in table.items():
        path = f"{prefix}{name}"
        if _is_value(value):
            found[name] = value.get(chosen.get(path, "typ"), value["typ"])
        elif isinstance(value, Mapping):
            found[name] = _resolved(value, chosen, f"{path}.")
        else:
            found[name] = value
    return found


def _chosen(corner: Corner, stated: tuple[StatedValue, ...]) -> dict[str, str]:
    """The corner of each stated value by its path."""
    if isinstance(corner, str):
        return dict.fromkeys((one.path for one in stated), _known_corner(corner))
    chosen: dict[str, str] = {}
    for path, wanted in corner.items():
        limit = _known_corner(wanted)
        below = [one.path for one in stated if f"{one.path}.".startswith(f"{path}.") and limit in one.values]
        if not below:
            known = ", ".join(one.path for one in stated if limit in one.values) or "none"
            raise InputError([InputProblem("corner", shown(path), f"states no {limit}.", f"one of {known}")])
        chosen |= dict.fromkeys(below, limit)
    return chosen


def _known_corner(corner: object) -> str:
    return choice("corner", corner, CORNERS)


def _numbers(part: Part) -> Iterator[tuple[str, float]]:
    yield from ((path, value) for path, value, _ in part.quantities())


def _require_order(
    stated: tuple[StatedValue, ...], chosen: Mapping[str, str], part: Part, typical: Part, kind: str
) -> None:
    """Limits must lie on their side of the typical values."""
    numbers, middle = dict(_numbers(part)), dict(_numbers(typical))
    problems = []
    for one in stated:
        limit = chosen.get(one.path, "typ")
        excess = numbers.get(one.path, 0.0) - middle.get(one.path, 0.0)
        if (limit == "min" and excess > 0.0) or (limit == "max" and excess < 0.0):
            given = ", ".join(f"{corner} {value}" for corner, value in one.values.items())
            problems.append(InputProblem(f"{kind}.{one.path}", given, "min, typ, max must ascend."))
    if problems:
        raise InputError(problems)
