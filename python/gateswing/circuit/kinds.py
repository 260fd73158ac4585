"""Descriptions of several kinds under one field: the choice by ``kind``."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from typing import TypeVar

from ..errors import InputError, InputProblem
from ..model import Model

__all__ = ["of_kind"]

Kind = TypeVar("Kind", bound=Model)


def of_kind(value: object, kinds: Mapping[str, type[Kind]], default: type[Kind], noun: str) -> Kind:
    """A description as it is, or from a table of its fields whose ``kind`` says which; `default` without one.

    Raises:
        InputError: no such kind, or no description; `noun` names what was expected.
    """
    classes: tuple[type[Kind], ...] = (default, *kinds.values())
    if isinstance(value, classes):
        return value
    if not isinstance(value, Mapping):
        raise InputError([InputProblem("", repr(value), f"not a {noun}, nor a table of its fields.")])
    if "kind" not in value:
        return default(**value)
    kind = value["kind"]
    if not isinstance(kind, str) or kind not in kinds:
        close = difflib.get_close_matches(str(kind), kinds, n=1)
        hint = f"Did you mean {close[0]!r}?" if close else ""
        reason = f"no such kind of {noun}."
        raise InputError([InputProblem("kind", repr(kind), reason, ", ".join(kinds), hint)])
    return kinds[kind](**value)
