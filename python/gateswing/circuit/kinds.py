"""Descriptions of several kinds under one field: the choice by ``kind``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, TypeVar

from ..errors import InputError, InputProblem
from ..model import Model, likely

__all__ = ["of_kind"]

Kind = TypeVar("Kind", bound=Model)


def of_kind(value: object, kinds: Mapping[str, type[Kind]], default: type[Kind], noun: str) -> Kind:
    """A description as it is, or from a table of its fields whose ``kind`` says which; `default` without one.

    Raises:
        InputError: no such kind, or no description; `noun` names what was expected. Of a field that only
            another kind has it is said which.
    """
    classes: tuple[type[Kind], ...] = (default, *kinds.values())
    if isinstance(value, classes):
        return value
    if not isinstance(value, Mapping):
        raise InputError([InputProblem("", repr(value), f"not a {noun}, nor a table of its fields.")])
    kind = value.get("kind")
    if "kind" in value and (not isinstance(kind, str) or kind not in kinds):
        close = likely(str(kind), kinds)
        hint = f"Did you mean {' or '.join(map(repr, close))}?" if close else ""
        reason = f"no such kind of {noun}."
        raise InputError([InputProblem("kind", repr(kind), reason, ", ".join(kinds), hint)])
    chosen = default if kind is None else kinds[kind]
    try:
        return chosen(**value)
    except InputError as error:
        raise InputError(_explained(error.problems, value, kinds, chosen, noun)) from None


def _explained(
    problems: Sequence[InputProblem],
    value: Mapping[str, Any],
    kinds: Mapping[str, type[Kind]],
    chosen: type[Kind],
    noun: str,
) -> Sequence[InputProblem]:
    """What is wrong with a table of fields, with a word on its kind where that explains it."""
    own = next((name for name, one in kinds.items() if one is chosen), chosen.__name__)
    foreign = {
        name: having for name in value if (having := _having(name, kinds)) and name not in chosen.model_fields
    }
    if "kind" not in value:
        if foreign:
            return [_kind_missing(value, kinds, own, foreign, noun)]
        lacking = [one for one in problems if one.reason.startswith(("missing", "no such field"))]
        hint = f"Without a kind a {noun} is {own}; others: {', '.join(one for one in kinds if one != own)}."
        return [
            replace(one, hint=f"{one.hint} {hint}".lstrip()) if one in lacking[:1] else one
            for one in problems
        ]
    return [
        replace(one, hint=f"Of kind {' and '.join(foreign[one.path])} it is one.")
        if one.path in foreign
        else one
        for one in problems
    ]


def _kind_missing(
    value: Mapping[str, Any],
    kinds: Mapping[str, type[Kind]],
    own: str,
    foreign: Mapping[str, Sequence[str]],
    noun: str,
) -> InputProblem:
    """Of a table whose fields are those of another kind than it is without a word."""
    fitting = {name: sum(field in one.model_fields for field in value) for name, one in kinds.items()}
    most = max(fitting.values())
    best = [name for name, count in fitting.items() if count == most]
    reason = f"missing. Without one a {noun} is {own}, which has no {', '.join(foreign)}."
    hint = f"Write kind = {' or '.join(f'{one!r}' for one in best)}."
    return InputProblem("kind", None, reason, ", ".join(kinds), hint)


def _having(field: str, kinds: Mapping[str, type[Kind]]) -> list[str]:
    return [name for name, one in kinds.items() if field in one.model_fields]
