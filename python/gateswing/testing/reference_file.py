"""References as text: figures and provenance as TOML in comment lines, then the decimated waveform as CSV.

    # gateswing reference waveform
    # schema = 2
    # reason = "first reference"
    # ...
    time [s],v_gs [V],...
    0.0,0.0,...

Text, so that a change shows in a review; small, so that it may live beside the tests.
"""

from __future__ import annotations

import csv
import dataclasses
import io
import re
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import tomli_w
from numpy.typing import NDArray

from .. import _core
from ..capture import read_capture
from ..errors import InputError, InputProblem
from ..studies.results import DoublePulse
from ..waveforms.decimation import decimated
from ..waveforms.waveform import Waveform
from .after_edge import Figure, figures_after
from .record import Part, Record, record_of

__all__ = ["read_reference", "read_waveform_file", "write_reference"]

_FIRST_LINE = "# gateswing reference waveform"
_WAVEFORM_LINE = "# waveform of degree "
_MOST_BYTES = 200_000
_SCHEMA = 2
# It told first peaks of rings, levels over 5 % of the time whatever rang there, and a ring of each measured
# edge besides.
_EARLIER = 1
_EARLIER_RING = re.compile(r"turn_o(n|ff)_\d+\.ring_\w+")
_BOUND = 0.002  # of the range of a channel: a fifth of the tube
_SPARE = 2  # digits beyond the bound


def write_reference(
    source: DoublePulse | Waveform | Record,
    path: str | Path,
    *,
    reason: str,
    channels: Sequence[str] | None = None,
    settings: Mapping[str, object] | None = None,
    bound: float = _BOUND,
) -> None:
    """Write a reference.

    Args:
        source: what is to be the reference.
        path: of the file; its folder is made.
        reason: why this waveform is right, or why it changed.
        channels: that are kept; left out: all.
        settings: what it was made with.
        bound: of the decimation, as a share of the range of each channel.

    Raises:
        InputError: no reason, no such channel, or the file would be larger than 200 kB.
    """
    if not reason.strip():
        raise InputError([InputProblem("reason", repr(reason), "says nothing.", "a sentence")])
    record = record_of(source, channels, settings)
    ranges = {name: float(np.ptp(record.waveform.values(name))) for name in record.waveform.units}
    bounds = {name: max(bound * one, 1e-9) for name, one in ranges.items()}
    small = decimated(record.waveform, bounds)
    text = _header(record, reason, bound) + _columns(small, bounds)
    if len(text.encode()) > _MOST_BYTES:
        reason_ = f"the reference would have {len(text.encode())} bytes."
        hint = "Keep fewer channels, a shorter record, or raise bound=."
        raise InputError([InputProblem("source", None, reason_, f"up to {_MOST_BYTES}", hint)])
    target = Path(path)
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text(text, encoding="utf-8")


def read_reference(path: str | Path) -> Record:
    """Read what :func:`write_reference` wrote.

    Raises:
        InputError: the file is missing, or is no such reference.
    """
    try:
        text = Path(path).read_text(encoding="utf-8")
    except OSError as error:
        raise _bad(path, f"cannot be read: {error.strerror}.") from None
    except UnicodeDecodeError:
        raise _bad(path, "is no text in UTF-8.") from None
    lines = text.split("\n")
    if not lines or lines[0] != _FIRST_LINE:
        raise _bad(path, f"does not begin with {_FIRST_LINE!r}.")
    head = [line for line in lines[1:] if line.startswith("#")]
    try:
        header = tomllib.loads("\n".join(line[2:] for line in head))
        schema = header.get("schema")
        if schema not in (_EARLIER, _SCHEMA):
            raise _bad(path, f"has the layout {schema!r}; known are {_EARLIER} and {_SCHEMA}.")
        record = _record(header, _waveform("\n".join(lines[1 + len(head) :])))
        return _by_present_definitions(record) if schema == _EARLIER else record
    except (KeyError, TypeError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        raise _bad(path, f"is spoilt: {error}.", "Take it from version control again.") from None


def is_capture(path: str | Path) -> bool:
    """Whether a file is neither a reference nor what :meth:`gateswing.Waveform.write_csv` wrote.

    Raises:
        InputError: the file cannot be read.
    """
    begin = _begin(path)
    return begin != _WAVEFORM_LINE and not (begin and _FIRST_LINE.startswith(begin))


def read_waveform_file(path: str | Path) -> Record | Waveform:
    """A reference, what :meth:`gateswing.Waveform.write_csv` wrote, or a capture of an instrument.

    Raises:
        InputError: the file is none of these.
    """
    if is_capture(path):
        return read_capture(path).waveform()
    if _begin(path) != _WAVEFORM_LINE:
        return read_reference(path)
    try:
        return Waveform.read_csv(path)
    except ValueError as error:
        raise _bad(path, f"is spoilt: {error}.") from None


def _begin(path: str | Path) -> str:
    try:
        with Path(path).open("rb") as file:
            return file.read(len(_WAVEFORM_LINE)).decode("latin-1")
    except OSError as error:
        raise _bad(path, f"cannot be read: {error.strerror}.") from None


def _bad(path: str | Path, reason: str, hint: str = "") -> InputError:
    return InputError([InputProblem(str(path), None, reason, hint=hint)])


def _header(record: Record, reason: str, bound: float) -> str:
    table: dict[str, Any] = {
        "schema": _SCHEMA,
        "reason": reason.strip(),
        "gateswing": _core.__version__,
        "decimation_bound": bound,
        "transition": record.transition,
        "settings": dict(record.settings),
        "residuals": dict(record.residuals),
        "parts": {part.name: [part.begin, part.end] for part in record.parts},
        "figures": {name: [figure.value, figure.unit] for name, figure in record.figures.items()},
    }
    lines = _one_line_arrays(tomli_w.dumps(table)).rstrip("\n").split("\n")
    return "\n".join([_FIRST_LINE, *(f"# {line}".rstrip() for line in lines)]) + "\n"


def _one_line_arrays(text: str) -> str:
    """The writer breaks arrays; a figure on one line reads better in a review."""
    return text.replace("[\n    ", "[").replace(",\n    ", ", ").replace(",\n]", "]")


def _columns(waveform: Waveform, bounds: Mapping[str, float]) -> str:
    """Numbers with the digits that the bound, and the shortest step, need."""
    times = np.append(waveform.times[::2], waveform.end)
    columns = [times, *(waveform.value(name, times) for name in waveform.units)]
    steps = [float(np.diff(times).min()), *(bounds[name] for name in waveform.units)]
    digits = [_digits(column, step) for column, step in zip(columns, steps, strict=True)]
    heading = io.StringIO()
    titles = ["time [s]", *(f"{name} [{unit}]" for name, unit in waveform.units.items())]
    csv.writer(heading, lineterminator="").writerow(titles)
    rows = [
        ",".join(f"{value:.{count}g}" for value, count in zip(row, digits, strict=True))
        for row in zip(*columns, strict=True)
    ]
    for index in (0, -1):  # a rounded end would be outside of what it was rounded from
        rows[index] = f"{float(times[index])!r},{rows[index].partition(',')[2]}"
    return "\n".join([heading.getvalue(), *rows]) + "\n"


def _digits(values: NDArray[np.float64], step: float) -> int:
    largest = float(np.abs(values).max())
    return int(np.clip(np.ceil(np.log10(max(largest, step) / step)) + _SPARE, 3, 17))


def _waveform(text: str) -> Waveform:
    import pandas as pd

    frame = pd.read_csv(io.StringIO(text), dtype=np.float64)
    names = [str(column).rpartition(" [") for column in frame.columns]
    values = {name: frame.iloc[:, 1 + k].to_numpy() for k, (name, _, _) in enumerate(names[1:])}
    units = {name: unit.rstrip("]") for name, _, unit in names[1:]}
    return Waveform.from_samples(frame.iloc[:, 0].to_numpy(), values, units)


def _record(header: Mapping[str, Any], waveform: Waveform) -> Record:
    figures, parts, residuals, settings = (
        _table(header, name) for name in ("figures", "parts", "residuals", "settings")
    )
    return Record(
        waveform,
        {name: Figure(float(value), str(unit)) for name, (value, unit) in figures.items()},
        tuple(Part(name, float(begin), float(end)) for name, (begin, end) in parts.items()),
        float(header["transition"]),
        {name: float(value) for name, value in residuals.items()},
        {str(name): str(value) for name, value in settings.items()} | {"reason": str(header["reason"])},
    )


def _table(header: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    found = header[name]
    if not isinstance(found, Mapping):
        raise TypeError(f"{name} is no table")
    return found


def _by_present_definitions(record: Record) -> Record:
    """The same with what follows each edge measured again in the waveform that was kept."""
    figures = {
        name: figure
        for name, figure in record.figures.items()
        if ".after_edge_" not in name and not _EARLIER_RING.fullmatch(name)
    }
    for part in record.parts:
        edge, _, title = part.name.partition(", ")
        if title == "after":
            for channel in record.waveform.units:
                index = int(edge.rpartition(" ")[2])
                figures |= figures_after(record.waveform, channel, index, (part.begin, part.end))
    return dataclasses.replace(record, figures=figures)
