"""Arguments that are one value or several."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from .errors import InputError, InputProblem
from .model import Quantity, argument

__all__ = ["axis_values", "need_values"]


def axis_values(name: str, values: Sequence[float | str] | float | str, kind: Quantity) -> tuple[float, ...]:
    """The values of an axis in SI units; one value alone makes an axis of one.

    Raises:
        InputError: a value is out of range, or there is none.
    """
    several = [values] if isinstance(values, str | int | float) else list(values)
    need_values(name, several)
    return tuple(argument(name, value, kind) for value in several)


def need_values(path: str, values: Sequence[Any] | Mapping[str, Any]) -> None:
    """Refuse none at all.

    Raises:
        InputError: there is none.
    """
    if not values:
        raise InputError([InputProblem(path, "[]", "no values.", hint="Give at least one.")])
