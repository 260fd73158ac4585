"""Base of the data classes that describe a circuit: validated, immutable, with errors in words."""

from __future__ import annotations

import difflib
import itertools
import numbers
import types
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, ClassVar, Self, Union, get_args, get_origin

from pydantic import BaseModel, ConfigDict, GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationError
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, ErrorDetails, core_schema

from gateswing._core import __version__

from .errors import InputError, InputProblem, shown
from .pickled import NEEDED, VERSION, fields_of_now
from .quantities import Interval, QuantityError, QuantityKind, format_quantity, parse_quantity

__all__ = [
    "Model",
    "Quantity",
    "argument",
    "at_least",
    "between",
    "by_path",
    "choice",
    "counted",
    "field_with",
    "likely",
    "positive",
    "require_model",
]

_MOST_PROBLEMS = 50  # of one table that are told
_AS_LIKELY = 0.1  # of the ratios that tell how much two names are alike
_FEW = 3


def positive(high: float) -> Interval:
    """Above zero, up to `high`."""
    return Interval(0.0, high, low_open=True)


def at_least(low: float, high: float) -> Interval:
    """From `low` to `high`, both included."""
    return Interval(low, high)


def between(low: float, high: float) -> Interval:
    """Between `low` and `high`, neither included."""
    return Interval(low, high, low_open=True, high_open=True)


@dataclass(frozen=True)
class Quantity(QuantityKind):
    """Marks a float field as a quantity with unit, meaning and ranges."""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        optional = type(None) in get_args(source)

        def validate(value: object) -> float | None:
            return None if optional and value is None else parse_quantity(value, self)

        return core_schema.no_info_plain_validator_function(validate)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        described: JsonSchemaValue = {
            "type": ["number", "string"],
            "description": self.doc,
            "unit": self.unit,
            "allowed": self.allowed.text(self.unit),
        }
        if self.usual is not None:
            described["usual"] = self.usual.text(self.unit)
        return described


def argument(name: str, value: object, kind: Quantity) -> float:
    """A function's argument as a number in SI units; problems carry its name."""
    try:
        return parse_quantity(value, kind)
    except QuantityError as error:
        problem = InputProblem(name, shown(error.value), error.reason, error.allowed, error.hint)
        raise InputError([problem]) from None


def choice(name: str, given: object, known: Any, noun: str = "") -> str:
    """A function's argument that is one of some names.

    Args:
        name: of the argument.
        given: its value.
        known: the names, or a ``Literal`` of them.
        noun: what they are names of; left out: the name of the argument.

    Raises:
        InputError: it is none of them.
    """
    names = get_args(known) or tuple(known)
    if given not in names:
        reason = f"no such {noun or name}."
        raise InputError([InputProblem(name, shown(given), reason, ", ".join(names))])
    return str(given)


def counted(name: str, given: object, least: int) -> int:
    """A function's argument that is a whole number from `least` on.

    Raises:
        InputError: it is none.
    """
    if isinstance(given, bool) or not isinstance(given, numbers.Integral):
        reason = "not a whole number."
    elif given < least:
        reason = "out of range."
    else:
        return int(given)
    raise InputError([InputProblem(name, shown(given), reason, f"{least} and more")])


def require_model(name: str, given: object, wanted: type[Model], hint: str) -> None:
    """Refuse an argument that is not the description wanted.

    Raises:
        InputError: with the class of what was given, and the hint; of a description that has what is wanted,
            such as a design with its cell, the field.
    """
    if not isinstance(given, wanted):
        inside = field_with(given, wanted)
        hint = f"Give its field {inside}." if inside else hint
        reason = f"not {_names((wanted,))} but of the class {type(given).__name__}."
        raise InputError([InputProblem(name, None, reason, hint=hint)])


def field_with(given: object, wanted: type[Model] | tuple[type[Model], ...]) -> str | None:
    """The field of a description that holds one of a wanted class; ``None`` without one."""
    fields = type(given).model_fields if isinstance(given, Model) else ()
    return next((name for name in fields if isinstance(getattr(given, name), wanted)), None)


def by_path(*given: Mapping[str, Any]) -> dict[str, Any]:
    """What was given for each field, by its dotted path; ``__`` is another way to write the dot.

    Raises:
        InputError: a field is given more than once.
    """
    found: dict[str, Any] = {}
    for name, value in (item for one in given for item in one.items()):
        path = name.replace("__", ".")
        if path in found:
            raise InputError([InputProblem(path, None, "given more than once.")])
        found[path] = value
    return found


class Model(BaseModel):
    """Immutable description, its fields given by keyword as SI numbers or text with units."""

    model_config = ConfigDict(frozen=True, extra="forbid", ser_json_inf_nan="constants")
    # Fields that a design file states even at their default.
    always_written: ClassVar[frozenset[str]] = frozenset()
    # Where its fields are taken from, said beside a field that there is not.
    advice: ClassVar[str] = ""

    def __init__(self, **values: Any) -> None:
        try:
            super().__init__(**values)
        except ValidationError as error:
            raise InputError(_problems(type(self), error)) from None

    def __getstate__(self) -> dict[Any, Any]:
        return super().__getstate__() | {VERSION: __version__}

    def __setstate__(self, state: dict[Any, Any]) -> None:
        defaults = {
            name: NEEDED if field.is_required() else field.get_default(call_default_factory=True)
            for name, field in type(self).model_fields.items()
        }
        stored = state["__dict__"] | {name: state[name] for name in (VERSION,) if name in state}
        super().__setstate__(state | {"__dict__": fields_of_now(type(self), stored, defaults)})

    @classmethod
    @cache
    def quantity_of(cls, field: str) -> Quantity | None:
        """Unit, meaning and ranges of `field`, or ``None`` when it is no quantity."""
        found = [mark for mark in cls.model_fields[field].metadata if isinstance(mark, Quantity)]
        return found[0] if found else None

    @classmethod
    @cache
    def entry_quantity_of(cls, field: str) -> Quantity | None:
        """The same of each entry of `field`, or ``None`` when it is no list of quantities."""
        wanted = cls.model_fields[field].annotation
        entry = get_args(wanted)[0] if get_origin(wanted) is tuple else None
        return next((mark for mark in getattr(entry, "__metadata__", ()) if isinstance(mark, Quantity)), None)

    def quantities(self, prefix: str = "") -> Iterator[tuple[str, float, Quantity]]:
        """Every quantity that is set, here and below: dotted path, value in SI units, kind.

        Of a list each entry is there, by its place: ``switching.0.rise_time``.
        """
        for name in type(self).model_fields:
            value = getattr(self, name)
            path = f"{prefix}{name}"
            kind = self.quantity_of(name) or self.entry_quantity_of(name)
            for place, part in _numbered(value):
                if isinstance(part, Model):
                    yield from part.quantities(f"{path}{place}.")
                elif kind is not None and part is not None:
                    yield f"{path}{place}", part, kind

    def value_at(self, path: str) -> Any:
        """The value of the field at a dotted path such as ``mosfet.drift_resistance``.

        Raises:
            InputError: no such field.
        """
        value: Any = self
        for depth, name in enumerate(parts := path.split(".")):
            if not isinstance(value, Model) or name not in type(value).model_fields:
                raise InputError([_no_such_field(value, ".".join(parts[:depth]), name)])
            value = getattr(value, name)
        return value

    def replace(self, changes: Mapping[str, Any] | None = None, /, **fields: Any) -> Self:
        """A copy with some fields changed, validated anew.

        Args:
            changes: dotted paths to new values, for example ``{"mosfet.drift_resistance": "5 mohm"}``.
            fields: the same with ``__`` for the dot: ``mosfet__drift_resistance="5 mohm"``.

        Raises:
            InputError: no such field, one given twice, or a value that it does not take.
        """
        wanted = by_path(changes or {}, fields)
        data = {name: getattr(self, name) for name in type(self).model_fields}
        below: dict[str, dict[str, Any]] = {}
        for path, value in wanted.items():
            head, _, rest = path.partition(".")
            if head not in data:
                raise InputError([_no_such_field(self, "", head)])
            if rest:
                below.setdefault(head, {})[rest] = value
            else:
                data[head] = value
        for head, together in below.items():
            data[head] = _replace_below(data[head], head, together)
        # What was left out stays so.
        given = self.model_fields_set | {path.partition(".")[0] for path in wanted}
        return type(self)(**{name: value for name, value in data.items() if name in given})

    def __repr__(self) -> str:
        return f"{type(self).__name__}({', '.join(self._repr_fields())})"

    __str__ = __repr__

    def _repr_fields(self) -> Iterator[str]:
        for name, field in type(self).model_fields.items():
            value = getattr(self, name)
            if value == field.default:
                continue
            kind = self.quantity_of(name)
            yield f"{name}={format_quantity(value, kind.unit)!r}" if kind else f"{name}={value!r}"


def _numbered(value: Any) -> Iterator[tuple[str, Any]]:
    """The entries of a list with their place behind a dot; anything else by itself."""
    if not isinstance(value, tuple):
        yield "", value
        return
    for place, entry in enumerate(value):
        yield f".{place}", entry


def _replace_below(part: Any, head: str, changes: Mapping[str, Any]) -> Any:
    if not isinstance(part, Model):
        reason = "left out, so nothing in it can be changed." if part is None else "has no fields."
        raise InputError([InputProblem(head, None, reason, hint=f"Give {head} as a whole.")])
    try:
        return part.replace(changes)
    except InputError as error:
        raise InputError(problem.below(head) for problem in error.problems) from None


def _no_such_field(owner: Any, path: str, name: str) -> InputProblem:
    known = list(type(owner).model_fields) if isinstance(owner, Model) else []
    close = likely(name, known)
    hint = f"Did you mean {' or '.join(map(repr, close))}?" if close else ""
    if known and not close:
        hint = f"Known fields: {', '.join(known)}. {owner.advice}".rstrip()
    return InputProblem(f"{path}.{name}".lstrip("."), None, "no such field.", hint=hint)


def likely(name: str, known: Iterable[str]) -> list[str]:
    """The names that one who wrote `name` may mean: the likeliest, and those that are as likely.

    Those too that end with it: `name` then lacks what tells them apart.
    """
    names = list(known)
    close = difflib.get_close_matches(name, names, n=2)
    if close:
        ratios = [difflib.SequenceMatcher(None, one, name).ratio() for one in close]
        alike = [
            ratio > ratios[0] - _AS_LIKELY or one.endswith(f"_{name}")
            for one, ratio in zip(close, ratios, strict=True)
        ]
        return list(itertools.compress(close, alike))
    bare = _bare(name)
    part_of = [one for one in names if len(bare) > 1 and bare in _bare(one)]
    return part_of if len(part_of) <= _FEW else []


def _bare(name: str) -> str:
    return name.replace("_", "").replace("-", "").lower()


def _problems(cls: type[Model], error: ValidationError) -> list[InputProblem]:
    details = error.errors(include_url=False)
    problems = [problem for detail in details[:_MOST_PROBLEMS] for problem in _problem(cls, detail)]
    if len(details) > _MOST_PROBLEMS:
        problems.append(InputProblem("", None, f"{len(details) - _MOST_PROBLEMS} more problems."))
    return problems


def _problem(cls: type[Model], detail: ErrorDetails) -> Iterator[InputProblem]:
    path = ".".join(str(part) for part in detail["loc"])
    cause = detail.get("ctx", {}).get("error")
    if isinstance(cause, InputError):
        yield from (problem.below(path) for problem in cause.problems)
    elif isinstance(cause, QuantityError):
        yield InputProblem(path, shown(cause.value), cause.reason, cause.allowed, cause.hint)
    elif detail["type"] == "missing":
        yield _missing(cls, path)
    elif detail["type"] == "extra_forbidden":
        yield InputProblem(path, shown(detail["input"]), "no such field.", hint=_spelling_hint(cls, path))
    elif cause is not None:
        yield InputProblem(path, None, str(cause))
    else:
        yield InputProblem(path, shown(detail["input"]), _type_reason(cls, path, detail))


def _type_reason(cls: type[Model], path: str, detail: ErrorDetails) -> str:
    field = cls.model_fields.get(path)
    wanted = models_in(field.annotation) if field else ()
    if wanted:
        return f"not {_names(wanted)}, nor a table of its fields."
    return f"{detail['msg'][0].lower()}{detail['msg'][1:]}."


def _missing(cls: type[Model], path: str) -> InputProblem:
    field = cls.model_fields.get(path)
    kind = cls.quantity_of(path) if field else None
    if kind:
        return InputProblem(path, None, f"missing. {kind.doc}", kind.allowed.text(kind.unit))
    wanted = models_in(field.annotation) if field else ()
    described = (field.description or "") if field else ""
    hint = f"Give {_names(wanted)}." if wanted else described
    if len(wanted) == 1:
        hint = f"Give {_names(wanted)}: {', '.join(wanted[0].model_fields)}."
    kinds = [repr(one.model_fields["kind"].default) for one in wanted if "kind" in one.model_fields]
    if kinds:
        hint = f"{hint} In a file it is a table, with kind = {', '.join(kinds[:-1])} or {kinds[-1]}."
    return InputProblem(path, None, "missing.", hint=hint)


def _spelling_hint(cls: type[Model], name: str) -> str:
    return _no_such_field(cls.model_construct(), "", name).hint


def models_in(annotation: Any) -> tuple[type[Model], ...]:
    """The model classes an annotation names, looking through ``X | Y | None``."""
    if isinstance(annotation, type) and issubclass(annotation, Model):
        return (annotation,)
    if get_origin(annotation) in (Union, types.UnionType):
        return tuple(found for part in get_args(annotation) for found in models_in(part))
    return ()


def _names(models: tuple[type[Model], ...]) -> str:
    *others, last = (model.__name__ for model in models)
    named = f"{', '.join(others)} or {last}" if others else last
    return f"{'an' if named[0] in 'AEIOU' else 'a'} {named}"
