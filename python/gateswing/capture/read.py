"""Reading the file of an oscilloscope: every layout that tells rows of numbers from text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ..errors import InputError, InputProblem
from ..figures import format_figure
from ..model import argument
from .capture import Capture, Trace
from .heading import Heading, read_heading, unit_of
from .layout import Layout, find_layout
from .quality import is_clipped
from .report import ImportReport, Understood
from .source import Source, bad_file
from .table import Table, read_table
from .time_axis import TimeAxis, mended
from .time_column import SAMPLE_INTERVAL, START, stated_times
from .wishes import Wishes

__all__ = ["read_capture"]

Floats = NDArray[np.float64]

_MOST_SAMPLES = 200_000_000


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
        sample_interval: where the file has no time, or an index in place of it [s].
        start: time of the first sample in such a file [s].
        most_samples: more are refused, so that memory is bounded.

    Raises:
        InputError: the file cannot be read or makes no sense, with the line; or an argument contradicts it.
    """
    wishes = Wishes(
        delimiter, decimal, first_line, encoding, names, units, time_column, time_unit,
        None if sample_interval is None else argument("sample_interval", sample_interval, SAMPLE_INTERVAL),
        None if start is None else argument("start", start, START),
        most_samples,
    )  # fmt: skip
    paths = [Path(path)] if isinstance(path, str | Path) else [Path(one) for one in path]
    if not paths:
        raise InputError([InputProblem("path", "[]", "names no file.")])
    capture = _together([_read(one, wishes) for one in paths], paths)
    return capture if channels is None else capture.mapped(channels)


def _read(path: Path, wishes: Wishes) -> Capture:
    source = Source.of(path, wishes.encoding)
    layout = find_layout(source, wishes.delimiter, wishes.decimal, wishes.first_line)
    heading = read_heading(source.lines, layout)
    count = len(layout.columns)
    names = _given_or(path, "names", wishes.names, heading.names, count)
    units = _given_or(path, "units", wishes.units, heading.units, count)
    table = read_table(source, layout, wishes.most_samples)
    stated = stated_times(path, table, heading, names, units, wishes)
    column = stated.column
    axis = mended(stated.times, table.breaks, stated.are_counted)
    _require_progress(path, axis)
    values, si_units = _channels(table, axis, names, units, column)
    listed = ", ".join(f"{name} [{si_units[name] or '?'}]" for name in values)
    where = "none in the file" if column is None else _title(names, column)
    named = _where(wishes.names, heading.name_line)
    decisions = [
        *_layout_decisions(source, layout, heading, wishes),
        Understood("time", where, stated.reason, "time_column="),
        Understood("time axis", _span(axis.times), stated.source, "time_unit=, sample_interval=, start="),
        Understood("channels", listed, named, "names=, units=, channels="),
        Understood("segments", str(len(axis.starts)), "gaps and restarts of time", ""),
    ]
    notes = (*axis.notes, *stated.notes(heading, wishes, axis.times), *_notes(table, values, si_units))
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


def _layout_decisions(source: Source, layout: Layout, heading: Heading, wishes: Wishes) -> list[Understood]:
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


def _require_progress(path: Path, axis: TimeAxis) -> None:
    """Time must increase within each segment, or no waveform can be made of it."""
    stands = np.setdiff1d(np.flatnonzero(np.diff(axis.times) <= 0) + 1, axis.starts)
    if len(stands):
        reason = f"the time stands still at {axis.times[stands[0]]:g} s."
        raise bad_file(path, reason, "Give time_column= or sample_interval=.")


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
