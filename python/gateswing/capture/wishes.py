"""What the caller of an import decides himself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..errors import InputError, InputProblem
from .heading import unit_of

__all__ = ["Wishes"]


@dataclass(frozen=True)
class Wishes:
    """The keywords of :func:`gateswing.read_capture` but its channels; ``None`` for what is to be found.

    Raises:
        InputError: one of them makes no sense, whatever the file.
    """

    delimiter: str | None
    decimal: str | None
    first_line: int | None
    encoding: str | None
    names: Sequence[str] | None
    units: Sequence[str] | None
    time_column: str | int | None
    time_unit: str | None
    sample_interval: float | None
    start: float | None
    most_samples: int

    def __post_init__(self) -> None:
        problems = []
        if self.decimal not in (None, ".", ","):
            problems.append(InputProblem("decimal", repr(self.decimal), "no decimal sign.", '"." or ","'))
        if self.delimiter is not None and (len(self.delimiter) != 1 or self.delimiter == self.decimal):
            problems.append(InputProblem("delimiter", repr(self.delimiter), "not one character of its own."))
        if self.first_line is not None and self.first_line < 1:
            problems.append(InputProblem("first_line", repr(self.first_line), "lines count from 1."))
        if self.time_unit is not None and (unit_of(self.time_unit) or ("", 0))[0] != "s":
            problems.append(
                InputProblem("time_unit", repr(self.time_unit), "no unit of time.", "s, ms, us, ns, ps")
            )
        if problems:
            raise InputError(problems)
