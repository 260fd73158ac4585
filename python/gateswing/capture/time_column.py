"""Where the times of a capture come from: a column of times, an index, or the rows alone.

Seconds are assumed of nothing that may be an index: a column without a unit whose steps are whole numbers.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ..errors import InputError, InputProblem
from ..figures import format_figure
from ..model import Quantity, at_least, positive
from .heading import INDEX_NAME, Heading, unit_in, unit_of
from .source import bad_file
from .table import Table
from .wishes import Wishes

__all__ = ["SAMPLE_INTERVAL", "START", "StatedTimes", "stated_times"]

Floats = NDArray[np.float64]

SAMPLE_INTERVAL = Quantity("s", "Time from sample to sample.", allowed=positive(1e3))
START = Quantity("s", "Time of the first sample.", allowed=at_least(-1e6, 1e6))
# A letter may be a quantity of its own: a temperature T, a path x.
_TIME_NAME = re.compile(r"((time|zeit)([\W_].*)?|seconds?|secs?|elapsed.*)", re.IGNORECASE)
_SHORT_NAME = re.compile(r"(t|x|x-axis|xaxis)", re.IGNORECASE)
_BESIDE_WORDS = re.compile(r"[\W_]")
_WHOLE = 1e-9  # of the largest number of a column
_AGREES = 0.01  # of a sample interval


@dataclass(frozen=True)
class StatedTimes:
    """Times in the order of the rows, as the file states them.

    Attributes:
        column: of numbers that holds times or an index; ``None`` where the rows are counted.
        reason: for the column.
        times: [s], finite, shape (rows,).
        source: of the times.
        are_counted: a number of samples times the sample interval, and so without rounding.
    """

    column: int | None
    reason: str
    times: Floats
    source: str
    are_counted: bool

    def notes(self, heading: Heading, wishes: Wishes, mended: Floats) -> list[str]:
        """What is said of the time axis beside the times, and not used.

        Args:
            heading: of the file.
            wishes: of the caller.
            mended: the times as they are used [s].
        """
        if self.are_counted:
            return []
        notes = [
            f"{keyword}= is not used: the file has times. With time_column='none' they are left out."
            for keyword in ("sample_interval", "start")
            if getattr(wishes, keyword) is not None
        ]
        # Of pairs of the least and the greatest value, the interval is that of the pairs or of the values.
        usual = [abs(_usual(np.diff(times))) for times in (mended, self.times)]
        if heading.increment and all(abs(heading.increment - one) > _AGREES * one for one in usual):
            stated, own = format_figure(heading.increment, "s"), format_figure(usual[0], "s")
            notes.append(f"The file states a sample interval of {stated}, but its times are {own} apart.")
        return notes


def stated_times(
    path: Path, table: Table, heading: Heading, names: Sequence[str], units: Sequence[str], wishes: Wishes
) -> StatedTimes:
    """Find the times.

    Args:
        path: of the file, for messages.
        table: its numbers.
        heading: what its text says of the time axis.
        names: of the columns.
        units: likewise, as written.
        wishes: of the caller, which come first.

    Raises:
        InputError: there are none, or their unit is not known.
    """
    column, reason = _time_column(table, heading, names, units, wishes.time_column)
    if column is None:
        count = np.arange(len(table.columns[0]), dtype=np.float64)
        return StatedTimes(None, reason, *_counted(path, "no time", count, heading, wishes), True)
    numbers = table.columns[column]
    if not np.isfinite(numbers).all():
        row = int(np.flatnonzero(~np.isfinite(numbers))[0])
        raise bad_file(path, f"row {row + 1} of the numbers has no time.", "Mend it, or give time_column=.")
    if not np.ptp(numbers) > 0:
        raise bad_file(path, "the time stands still.", "Give time_column= or sample_interval=.")
    unit = wishes.time_unit or _unit(numbers, heading, names[column], units[column], wishes)
    if not unit and _is_whole(numbers):
        counted = _counted(path, "an index in place of time", numbers, heading, wishes)
        return StatedTimes(column, reason, *counted, True)
    si_unit, factor = (unit_of(unit) or ("", 1.0)) if unit else ("s", 1.0)
    if si_unit != "s":
        raise bad_file(path, f"states the unit {unit!r} for its time.", "Give time_unit=, for example 'ns'.")
    source = "given" if wishes.time_unit else f"unit {unit!r}" if unit else "no unit stated, taken as seconds"
    return StatedTimes(column, reason, numbers * factor, source, False)


def _time_column(
    table: Table, heading: Heading, names: Sequence[str], units: Sequence[str], wanted: str | int | None
) -> tuple[int | None, str]:
    """Which column of numbers is the time or an index, and why."""
    count = len(table.columns)
    if wanted == "none":
        return None, "given"
    if isinstance(wanted, str) and wanted in names:
        return names.index(wanted), "given"
    if wanted is not None:
        if isinstance(wanted, int) and 0 <= wanted < count:
            return wanted, "given"
        known = ", ".join(repr(name) for name in names if name)
        allowed = f'{known or "no names"}; 0 to {count - 1}; "none"'
        raise InputError([InputProblem("time_column", repr(wanted), "no such column.", allowed)])

    def is_named(pattern: re.Pattern[str], index: int) -> bool:
        # What is in volts is no time, whatever its name.
        return unit_of(units[index]) is None and pattern.fullmatch(names[index].strip()) is not None

    ways: list[tuple[str, Callable[[int], bool]]] = [
        ("its unit", lambda index: (unit_of(units[index]) or ("",))[0] == "s"),
        ("its name", lambda index: is_named(_TIME_NAME, index)),
        ("its name", lambda index: is_named(_SHORT_NAME, index)),
        ("its name", lambda index: is_named(INDEX_NAME, index) and _counts(table.columns[index])),
    ]
    for why, fits in ways:
        for index in range(count):
            if fits(index):
                return index, why
    if count > 1 and (heading.time_unit or not names[0]) and _is_steady(table.columns[0]):
        return 0, "it grows steadily"
    return None, "no column grows steadily" if count > 1 else "one column of numbers"


def _is_steady(values: Floats) -> bool:
    steps = np.diff(values)
    return bool((np.all(steps >= 0) and np.any(steps > 0)) or (np.all(steps <= 0) and np.any(steps < 0)))


def _is_whole(values: Floats) -> bool:
    """Whether the steps are whole numbers, and not all but zero."""
    steps = np.diff(values)
    off = float(np.abs(steps - np.rint(steps)).max())
    return off <= _WHOLE * float(np.abs(values).max()) and float(np.abs(steps).max()) >= 0.5


def _counts(values: Floats) -> bool:
    """Whether numbers count something: whole steps, most of them alike; with gaps and restarts perhaps."""
    if not np.isfinite(values).all() or not _is_whole(values):
        return False
    steps = np.diff(values)
    alike = int(np.count_nonzero(steps == _usual(steps)))
    return _is_steady(values) or 2 * alike > int(np.count_nonzero(steps))


def _usual(steps: Floats) -> float:
    return float(np.median(steps[steps != 0]))


def _unit(numbers: Floats, heading: Heading, name: str, unit: str, wishes: Wishes) -> str:
    """Unit that the file states for a column of times, as written; empty for none, or for an index."""
    if unit:
        return unit
    if INDEX_NAME.fullmatch(name.strip()):
        return ""
    if found := unit_in(name):
        return found
    last = _BESIDE_WORDS.split(name)[-1]
    if last != name and (unit_of(last) or ("",))[0] == "s":
        return last
    interval = heading.increment if wishes.sample_interval is None else wishes.sample_interval
    known = unit_of(heading.time_unit)
    if interval is not None and known is not None and _is_whole(numbers):
        # The unit of the axis is that of an index times the interval, unless both say the same.
        usual = abs(_usual(np.diff(numbers))) * known[1]
        return heading.time_unit if abs(usual - interval) <= _AGREES * interval else ""
    return heading.time_unit


def _counted(path: Path, what: str, counts: Floats, heading: Heading, wishes: Wishes) -> tuple[Floats, str]:
    """Times [s] of samples that an index or the rows count, and where their interval stands.

    The least count is at the start; where none is stated, an index from 1 starts at zero, and any other is
    zero at zero.
    """
    interval = wishes.sample_interval if wishes.sample_interval is not None else heading.increment
    start = wishes.start if wishes.start is not None else heading.start
    hint = "Give sample_interval=, for example sample_interval='0.4 ns'; or time_unit= for a column of times."
    if interval is None:
        reason = f"has {what} and states no sample interval, or none in a unit that is known."
        raise bad_file(path, reason, hint)
    if interval not in SAMPLE_INTERVAL.allowed or (start or 0.0) not in START.allowed:
        reason = f"has {what}; a start of {start or 0.0:g} s and steps of {interval:g} s make none."
        raise bad_file(path, reason, hint)
    usual = abs(_usual(np.diff(counts)))
    if usual != 1.0:
        reason = f"has a column of times or an index without a unit, in steps of usually {usual:g}."
        hint = "Give time_unit= if it is a time; time_column='none' and sample_interval= of the rows if not."
        raise bad_file(path, reason, hint)
    least = float(counts.min())
    origin = least if start is not None or least == 1.0 else 0.0
    source = "given" if wishes.sample_interval is not None else "sample interval stated in the file"
    return np.asarray((start or 0.0) + interval * (counts - origin), dtype=np.float64), source
