"""Errors and warnings: what was given, where, and what is allowed, in a sentence."""

from __future__ import annotations

import difflib
import reprlib
import sys
import warnings
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import islice

__all__ = [
    "InputError",
    "InputProblem",
    "InputWarning",
    "SafetyCaution",
    "SimulationError",
    "TopologyWarning",
    "did_you_mean",
    "issue",
    "shown",
]

# What a sentence can hold of a value that was given.
_SHORT = reprlib.Repr()
_SHORT.maxlevel = 3
_SHORT.maxstring = _SHORT.maxother = 200
_SHORT.maxlist = _SHORT.maxtuple = _SHORT.maxdict = 12
_MOST_COMPARED = 500  # a file may have any number of columns
_ALIKE = 0.7  # of names: CH1 and CH9 are two


def shown(value: object) -> str:
    """A value as Python writes it, cut where it is long or deep."""
    try:
        return _SHORT.repr(value)
    except ValueError:  # Python writes no number of more than 4300 digits
        return "a number of thousands of digits"


def did_you_mean(given: str, known: Iterable[str]) -> str:
    """A question with the one or two names that a misspelt one resembles, or nothing."""
    names = {name.lower(): name for name in islice(known, _MOST_COMPARED)}
    close = difflib.get_close_matches(given.lower(), names, n=2, cutoff=_ALIKE)
    if given.lower() in names:
        close = [given.lower()]
    return f"Did you mean {' or '.join(repr(names[one]) for one in close)}?" if close else ""


@dataclass(frozen=True)
class InputProblem:
    """One thing wrong with the input.

    Attributes:
        path: dotted name of the field, for example ``cell.mosfet.drift_resistance``.
        value: what was given, as text; ``None`` when the field is missing.
        reason: what is wrong with it.
        allowed: the allowed range or choice, as text; empty when no range applies.
        hint: the likely intention, or advice; may be empty.
    """

    path: str
    value: str | None
    reason: str
    allowed: str = ""
    hint: str = ""

    def below(self, prefix: str) -> InputProblem:
        """The same problem seen from outside: `prefix` put before the path."""
        path = ".".join(part for part in (prefix, self.path) if part)
        return InputProblem(path, self.value, self.reason, self.allowed, self.hint)

    def __str__(self) -> str:
        subject = self.path or "input"
        if self.value is not None:
            subject += f" = {self.value}"
        parts = [f"{subject}: {self.reason}"]
        if self.allowed:
            parts.append(f"Allowed: {self.allowed}.")
        if self.hint:
            parts.append(self.hint)
        return " ".join(parts)


class InputError(ValueError):
    """Input that cannot be used. ``problems`` lists everything found, not only the first."""

    def __init__(self, problems: Iterable[InputProblem]) -> None:
        self.problems = tuple(problems)
        super().__init__(self.problems)

    def __str__(self) -> str:
        return "\n".join(str(problem) for problem in self.problems)

    def __reduce__(self) -> tuple[type[InputError], tuple[tuple[InputProblem, ...]]]:
        return type(self), (self.problems,)


class InputWarning(UserWarning):
    """Input that can be used but is unusual, or a combination that will surprise.

    Results keep these in ``warnings``. Those about a circuit, a part file or a probe are also issued through
    the standard ``warnings`` module; those of a fit, an estimate or a bench stand in its report.
    """

    def __init__(self, path: str, message: str) -> None:
        self.path = path
        self.message = message
        super().__init__(path, message)

    def __str__(self) -> str:
        return f"{self.path}: {self.message}" if self.path else self.message

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, InputWarning):
            return NotImplemented
        return (type(self), self.path, self.message) == (type(other), other.path, other.message)

    def __hash__(self) -> int:
        return hash((type(self), self.path, self.message))


class TopologyWarning(InputWarning):
    """A current without a path of its own, or a gate that nothing holds."""


class SafetyCaution(InputWarning):
    """A hazard of the circuit described; it replaces neither local codes nor licensed practice."""


def issue(found: Iterable[InputWarning]) -> None:
    """Pass warnings to the standard ``warnings`` module, for the line that called the package.

    By default that module prints each once.
    """
    frame, level = sys._getframe(), 1
    while frame.f_back is not None and _is_ours(frame.f_globals.get("__name__", "")):
        frame, level = frame.f_back, level + 1
    for warning in found:
        warnings.warn(warning, stacklevel=level)


def _is_ours(module: str) -> bool:
    return f"{module}.".startswith(f"{__package__}.")


class SimulationError(RuntimeError):
    """A simulation that could not finish, with the status and sentence of the core."""

    def __init__(self, status: str, message: str) -> None:
        self.status = status
        self.message = message
        super().__init__(status, message)

    def __str__(self) -> str:
        return f"{self.message} (status: {self.status})"
