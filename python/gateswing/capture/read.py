"""Reading the file of an oscilloscope: every layout that tells rows of numbers from text."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ..errors import InputError, InputProblem
from ..figures import format_figure
from ..model import Quantity, argument, positive
from ..quantities import Interval
from .capture import Capture, Trace
from .heading import INDEX_NAME, Heading, read_heading, unit_of
from .layout import Layout, find_layout
from .quality import is_clipped
from .report import ImportReport, Understood
from .source import Source, bad_file
from .table import Table, read_table
from .time_axis import TimeAxis, mended

__all__ = ["read_capture"]

Floats = NDArray[np.float64]

_INTERVAL = Quantity("s", "Time from sample to sample.", allowed=positive(1e3))
_START = Quantity("s", "Time of the first sample.", allowed=Interval(-1e6, 1e6))
_TIME_NAME = re.compile(r"(time|zeit|t|x|x-axis|xaxis|seconds?|secs?|time\s.*|elapsed.*)", re.IGNORECASE)
_MOST_SAMPLES = 200_000_000


@dataclass(frozen=True)
class _Wishes:
    """What the caller decides himself."""

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


def read_capture(
    path: str | Path | Sequence[str | Path],
    *,
    channels: Mapping[str, str | Trace] | None = None,
    delimiter: str | None = None,
    decimal: str | None = None,
    first_line: int | None = None,
    encoding: str | None = None,
    names: Sequence[str] | None = None,
    units: Sequence[str] | None = None,
    time_column: str | int | None = None,
    time_unit: str | None = None,
    sample_interval: float | str | None = None,
    start: float | str | None = None,
    most_samples: int = _MOST_SAMPLES,
) -> Capture:
    """Read what an oscilloscope or logger exported as text.

    The layout is found, not assumed; ``.report`` of the result says what was understood and which keyword
    says otherwise.

    Args:
        path: the file, or one file for each channel.
        channels: names as the model has them, to columns; see :meth:`Capture.mapped`.
        delimiter: between cells; ``" "`` for any run of blanks.
        decimal: decimal sign, ``"."`` or ``","``.
        first_line: of the numbers, counted from 1.
        encoding: of the text.
        names: of the columns of numbers, the time's among them.
        units: of the columns of numbers, the time's among them.
        time_column: name, or number counted from 0 among the columns of numbers; ``"none"`` if there is none.
        time_unit: such as ``"ms"``.
        sample_interval: where the file has no time [s].
        start: time of the first sample where the file has no time [s].
        most_samples: more are refused, so that memory is bounded.

    Raises:
        InputError: the file cannot be read or makes no sense, with the line; or an argument contradicts it.
    """
    wishes = _Wishes(
        delimiter, decimal, first_line, encoding, names, units, time_column, time_unit,
        None if sample_interval is None else argument("sample_interval", sample_interval, _INTERVAL),
        None if start is None else argument("start", start, _START),
        most_samples,
    )  # fmt: skip
    _check(wishes)
    paths = [Path(path)] if isinstance(path, str | Path) else [Path(one) for one in path]
    if not paths:
        raise InputError([InputProblem("path", "[]", "names no file.")])
    capture = _together([_read(one, wishes) for one in paths], paths)
    return capture if channels is None else capture.mapped(channels)


def _check(wishes: _Wishes) -> None:
    problems = []
    if wishes.decimal not in (None, ".", ","):
        problems.append(InputProblem("decimal", repr(wishes.decimal), "no decimal sign.", '"." or ","'))
    if wishes.delimiter is not None and (len(wishes.delimiter) != 1 or wishes.delimiter == wishes.decimal):
        problems.append(InputProblem("delimiter", repr(wishes.delimiter), "not one character of its own."))
    if wishes.first_line is not None and wishes.first_line < 1:
        problems.append(InputProblem("first_line", repr(wishes.first_line), "lines count from 1."))
    if wishes.time_unit is not None and (unit_of(wishes.time_unit) or ("", 0))[0] != "s":
        problems.append(
            InputProblem("time_unit", repr(wishes.time_unit), "no unit of time.", "s, ms, us, ns, ps")
        )
    if problems:
        raise InputError(problems)


def _read(path: Path, wishes: _Wishes) -> Capture:
    source = Source.of(path, wishes.encoding)
    layout = find_layout(source, wishes.delimiter, wishes.decimal, wishes.first_line)
    heading = read_heading(source.lines, layout)
    count = len(layout.columns)
    names = _given_or(path, "names", wishes.names, heading.names, count)
    units = _given_or(path, "units", wishes.units, heading.units, count)
    table = read_table(source, layout, wishes.most_samples)
    column, reason = _time_column(table, names, units, wishes)
    times, why = _raw_times(path, table, heading, units, column, wishes)
    axis = mended(times, table.breaks)
    _require_progress(path, axis)
    values, si_units = _channels(table, axis, names, units, column)
    listed = ", ".join(f"{name} [{si_units[name] or '?'}]" for name in values)
    where = "none in the file" if column is None else _title(names, column)
    named = _where(wishes.names, heading.name_line)
    decisions = [
        *_layout_decisions(source, layout, heading, wishes),
        Understood("time", where, reason, "time_column="),
        Understood("time axis", _span(axis.times), why, "time_unit=, sample_interval=, start="),
        Understood("channels", listed, named, "names=, units=, channels="),
        Understood("segments", str(len(axis.starts)), "gaps and restarts of time", ""),
    ]
    notes = (*axis.notes, *_unused(wishes, table, column), *_notes(table, values, si_units))
    report = ImportReport(tuple(decisions), notes)
    return Capture(axis.times, values, si_units, axis.starts, heading.settings, report)


def _channels(
    table: Table, axis: TimeAxis, names: Sequence[str], units: Sequence[str], time_column: int | None
) -> tuple[dict[str, Floats], dict[str, str]]:
    """Values in SI units, and those units, by name."""
    values: dict[str, Floats] = {}
    si_units: dict[str, str] = {}
    for index, column in enumerate(table.columns):
        if index == time_column:
            continue
        name = _free_name(names[index] or f"channel {len(values) + 1}", values)
        unit, factor = unit_of(units[index]) or (units[index], 1.0)
        one = column if factor == 1.0 else column * factor
        values[name] = one if axis.order is None else one[axis.order]
        si_units[name] = unit
    return values, si_units


def _given_or(
    path: Path, keyword: str, given: Sequence[str] | None, found: list[str], count: int
) -> list[str]:
    if given is None:
        return found
    if len(given) != count or isinstance(given, str):
        raise bad_file(path, f"has {count} columns of numbers, but {keyword}= names {len(given)}.")
    return list(given)


def _free_name(name: str, taken: Mapping[str, Floats]) -> str:
    number = 2
    free = name
    while free in taken:
        free, number = f"{name} ({number})", number + 1
    return free


def _title(names: Sequence[str], column: int) -> str:
    return f"column {column + 1}" + (f", {names[column]!r}" if names[column] else "")


def _where(given: object, line: int) -> str:
    return "given" if given is not None else f"line {line}" if line else "no names in the file"


def _span(times: Floats) -> str:
    steps = np.diff(times)
    interval = format_figure(float(np.median(steps)), "s")
    return f"{times[0]:g} s to {times[-1]:g} s, {len(times)} samples, usually {interval} apart"


def _layout_decisions(source: Source, layout: Layout, heading: Heading, wishes: _Wishes) -> list[Understood]:
    def reason(given: object) -> str:
        return "given" if given is not None else "most cells are numbers that way"

    shown = {"\t": "tab", " ": "blanks"}.get(layout.delimiter, layout.delimiter)
    first = "all on one line" if layout.on_one_line else f"line {layout.first_line}"
    return [
        Understood(
            "encoding", source.encoding, "given" if source.encoding_is_given else "first bytes", "encoding="
        ),
        Understood("separator", shown, reason(wishes.delimiter), "delimiter="),
        Understood("decimal sign", layout.decimal, reason(wishes.decimal), "decimal="),
        Understood("numbers from", first, "given" if wishes.first_line else "first full row", "first_line="),
        Understood("settings", str(len(heading.settings)), "lines above and beside the numbers", ""),
    ]


def _time_column(
    table: Table, names: Sequence[str], units: Sequence[str], wishes: _Wishes
) -> tuple[int | None, str]:
    """Which column of numbers is the time or an index, and why."""
    wanted = wishes.time_column
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
    for index, name in enumerate(names):
        if (unit_of(units[index]) or ("", 0))[0] == "s":
            return index, "its unit"
        if _TIME_NAME.fullmatch(name.strip()) or INDEX_NAME.fullmatch(name.strip()):
            return index, "its name"
    if count > 1 and not names[0] and _is_steady(table.columns[0]):
        return 0, "it grows steadily"
    return None, "no column grows steadily" if count > 1 else "one column of numbers"


def _is_steady(values: Floats) -> bool:
    steps = np.diff(values)
    return bool((np.all(steps >= 0) and np.any(steps > 0)) or (np.all(steps <= 0) and np.any(steps < 0)))


def _raw_times(
    path: Path, table: Table, heading: Heading, units: Sequence[str], column: int | None, wishes: _Wishes
) -> tuple[Floats, str]:
    """Times [s] as the file has them, and where they come from."""
    rows = len(table.columns[0])
    interval = wishes.sample_interval if wishes.sample_interval is not None else heading.increment
    begin = wishes.start if wishes.start is not None else heading.start
    source = "given" if wishes.sample_interval is not None else "sample interval stated in the file"
    if column is None or (interval is not None and _is_index(table.columns[column])):
        if interval is None or interval not in _INTERVAL.allowed or (begin or 0.0) not in _START.allowed:
            reason = "has no time and states no sample interval, or none in a unit that is known."
            if interval is not None:
                reason = f"has no time; a start of {begin or 0.0:g} s and steps of {interval:g} s make none."
            raise bad_file(path, reason, "Give sample_interval=, for example sample_interval='0.4 ns'.")
        steps = np.arange(rows) if column is None else table.columns[column] - table.columns[column][0]
        return np.asarray((begin or 0.0) + interval * steps, dtype=np.float64), source
    times = table.columns[column]
    if not np.isfinite(times).all():
        row = int(np.flatnonzero(~np.isfinite(times))[0])
        raise bad_file(path, f"row {row + 1} of the numbers has no time.", "Mend it, or give time_column=.")
    if not np.ptp(times) > 0:
        raise bad_file(path, "the time stands still.", "Give time_column= or sample_interval=.")
    if _is_index(times) and wishes.time_unit is None and not units[column]:
        reason = "has an index in place of time and states no sample interval."
        raise bad_file(path, reason, "Give sample_interval=, or time_unit= if it is a time.")
    unit = wishes.time_unit or units[column]
    si_unit, factor = unit_of(unit) or (("s", 1.0) if not unit else ("", 1.0))
    if si_unit != "s":
        raise bad_file(path, f"states the unit {unit!r} for its time.", "Give time_unit=, for example 'ns'.")
    why = "given" if wishes.time_unit else f"unit {unit!r}" if unit else "no unit stated, taken as seconds"
    return times * factor, why


def _unused(wishes: _Wishes, table: Table, column: int | None) -> Iterator[str]:
    """What was given and is not needed, since the file has times."""
    if column is None or _is_index(table.columns[column]):
        return
    for keyword in ("sample_interval", "start"):
        if getattr(wishes, keyword) is not None:
            yield f"{keyword}= is not used: the file has times. With time_column='none' they are left out."


def _require_progress(path: Path, axis: TimeAxis) -> None:
    """Time must increase within each segment, or no waveform can be made of it."""
    stands = np.setdiff1d(np.flatnonzero(np.diff(axis.times) <= 0) + 1, axis.starts)
    if len(stands):
        reason = f"the time stands still at {axis.times[stands[0]]:g} s."
        raise bad_file(path, reason, "Give time_column= or sample_interval=.")


def _is_index(values: Floats) -> bool:
    return bool(np.all(np.diff(values) == 1.0) and values[0] in (0.0, 1.0))


def _notes(table: Table, values: Mapping[str, Floats], units: Mapping[str, str]) -> list[str]:
    notes = []
    if table.dropped_count:
        more = ", ..." if table.dropped_count > len(table.dropped) else ""
        listed = ", ".join(str(line) for line in table.dropped)
        notes.append(f"{table.dropped_count} lines among or after the numbers left out: {listed}{more}.")
    for name, one in values.items():
        lost = int(np.count_nonzero(~np.isfinite(one)))
        if lost:
            notes.append(
                f"{name}: {lost} samples could not be converted by the instrument (overload or empty)."
            )
        if is_clipped(one):
            notes.append(f"{name}: looks clipped; its peak is higher than the record says.")
        if not units[name]:
            notes.append(f"{name}: no unit stated.")
    return notes


def _together(captures: Sequence[Capture], paths: Sequence[Path]) -> Capture:
    """One capture of files with the same times."""
    first = captures[0]
    if len(captures) == 1:
        return first
    values: dict[str, Floats] = {}
    units: dict[str, str] = {}
    notes: list[str] = []
    settings: dict[str, str] = {}
    for capture, path in zip(captures, paths, strict=True):
        if len(capture.times) != len(first.times):
            reason = f"has {len(capture.times)} samples, but {paths[0].name} has {len(first.times)}."
            raise bad_file(path, reason, "Only files of one acquisition belong together.")
        interval = float(np.median(np.diff(first.times)))
        if np.abs(capture.times - first.times).max() > 0.01 * interval or capture.starts != first.starts:
            raise bad_file(path, f"has other times than {paths[0].name}.", "Read it by itself.")
        for name, one in capture.values.items():
            free = name if len(capture.values) > 1 and name not in values else _free_name(path.stem, values)
            values[free], units[free] = one, capture.units[name]
        notes += [f"{path.name}: {note}" for note in capture.report.notes]
        settings |= {f"{path.name}: {key}": value for key, value in capture.settings.items()}
    joined = ", ".join(f"{name} [{units[name] or '?'}]" for name in values)
    channels = Understood("channels", joined, "one file for each", "names=, units=, channels=")
    kept = [channels if one.what == "channels" else one for one in first.report.decisions]
    return Capture(
        first.times, values, units, first.starts, settings, ImportReport(tuple(kept), tuple(notes))
    )
