"""What the readers must do with any bytes: an answer that holds together, or an input error."""

from __future__ import annotations

import copy
import tempfile
import tomllib
import warnings
from collections.abc import Callable, Iterator, Mapping
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np
import tomli_w

import gateswing as gs

__all__ = ["TARGETS", "examples"]

# Put where a value of an example was; texts that look like quantities among them.
_HOSTILE: tuple[Any, ...] = (
    0, -1, 10**400, -(10**400), 1e308, -1e308, 5e-324, float("nan"), float("inf"), True, [], {}, [[[]]], [{}],
    "", " ", "nan", "1e999 V", "/V" * 30, "5 5 V", "1,5 V", "-0.0", "9" * 5000, "\x00", "10 ohm", "1 nH",
    "20 degC", "50 %", "logic-60V", {"part": "logic-60V"}, {"part": 5}, {"part": "logic-60V", "corner": "?"},
    {"part": "logic-60V", "corner": []}, {"kind": "motor"}, {"kind": []}, {"typ": 1}, {"typ": [], "max": {}},
    {"typ": "1 V", "min": "2 V"}, [float("nan")] * 3,
)  # fmt: skip


def examples() -> Iterator[Path]:
    """The files that come with the package."""
    package = resources.files(gs.__name__)
    for folder in ("examples", "library/parts"):
        yield from (Path(str(one)) for one in (package / folder).iterdir() if one.name.endswith(".toml"))


def capture(data: bytes) -> None:
    """As the file of an oscilloscope."""
    read = gs.read_capture(_file(data))
    ends = (*read.starts[1:], len(read.times))
    for begin, end in zip(read.starts, ends, strict=True):
        assert (np.diff(read.times[begin:end]) > 0).all(), "time stands or goes back"
    assert np.isfinite(read.times).all()
    assert all(one.shape == read.times.shape for one in read.values.values())
    assert all(not np.isinf(one).any() for one in read.values.values())
    repr(read.report)


def design(data: bytes) -> None:
    """As a design file, which reads back as it is written."""
    read = gs.read_design(_file(data))
    assert gs.Design.from_mapping(read.to_mapping()) == read
    repr(read)


def part(data: bytes) -> None:
    """As a part file; what it states can be listed."""
    repr(gs.PartFile.read(_file(data)))


def sheet(data: bytes) -> None:
    """As the entries of a data sheet."""
    repr(gs.read_sheet(_file(data)))


def edits(data: bytes) -> None:
    """As changes of an example: bytes choose the file, then in pairs which value becomes which."""
    choice, *pairs = data[:33] or b"\0"
    every = sorted(examples())
    tables = copy.deepcopy(tomllib.loads(every[choice % len(every)].read_text(encoding="utf-8")))
    for place, value in zip(pairs[::2], pairs[1::2], strict=False):
        owners = list(_owners(tables))
        if len(owners) > _MOST_PLACES:  # a table put into itself doubles
            break
        owner, name = owners[place * len(owners) // 256]
        values = [*_HOSTILE, *(one[key] for one, key in owners)]
        owner[name] = copy.deepcopy(values[value % len(values)])
    text = tomli_w.dumps(tables).encode()
    for read in (design, part, sheet):
        _or_refused(read, text)


_MOST_PLACES = 300
TARGETS: Mapping[str, Callable[[bytes], None]] = {}


def _owners(table: Any) -> Iterator[tuple[Any, Any]]:
    """Every place in nested tables and lists, as what holds it and its name there."""
    for name, value in list(table.items() if isinstance(table, dict) else enumerate(table)):
        yield table, name
        if isinstance(value, dict | list):
            yield from _owners(value)


_MOST_TOLD = 100_000  # characters of an error
_FOLDER = tempfile.TemporaryDirectory()


def _file(data: bytes) -> Path:
    path = Path(_FOLDER.name) / "file"
    path.write_bytes(data)
    return path


def _or_refused(read: Callable[[bytes], None], data: bytes) -> None:
    """Read with every warning but ours an error."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        warnings.simplefilter("ignore", gs.InputWarning)
        try:
            read(data)
        except gs.InputError as error:
            told = len(str(error))
            if told > _MOST_TOLD:
                raise AssertionError("an error that nobody could read") from error


def _target(read: Callable[[bytes], None]) -> Callable[[bytes], None]:
    def run(data: bytes) -> None:
        _or_refused(read, data)

    return run


TARGETS = {one.__name__: _target(one) for one in (capture, design, part, sheet, edits)}
