"""How the command reads captures: its options, and what they say to the library."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .cli_exits import READING
from .errors import InputError, InputProblem, did_you_mean

if TYPE_CHECKING:
    from .capture import Capture, Trace
    from .testing import Record
    from .waveforms.waveform import Waveform

__all__ = ["Reading", "Texts", "assigned", "ends", "of_captures"]

# A number, and the unit behind it.
_SCALE = re.compile(r"([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*)")
_BLANK = {"tab": "\t", "blanks": " "}
_WHOLE = ("first_line", "most_samples")

Texts = tuple[str, ...]


def of_captures(command: Callable[..., None]) -> Callable[..., None]:
    """The options that say how a capture is read."""
    for option in (
        click.option(
            "--read", "reading", multiple=True,
            help='How a capture is read, such as "delimiter=;" (or tab, blanks), "sample_interval=0.4 ns": '
            f"{', '.join(READING)}. Left out: found.",
        ),
        click.option(
            "--scale", "scales", multiple=True,
            help='What 1 in a column is, such as "i_d=10 A", or -10 A where it is inverted; left out: 1.',
        ),
        click.option(
            "--channel", "channels", multiple=True,
            help='Channel and its column, such as "v_ds_pin=CH2"; left out: columns have the names of '
            "channels.",
        ),
        click.option(
            "--between",
            help='Part of the record, such as "2.9 us to 3.6 us", where it has more than one turn-on and the '
            "turn-off after it; left out: all.",
        ),
        click.option(
            "--segment", type=int, help="Of the capture, counted from 0; needed where there are several."
        ),
    ):  # fmt: skip
        command = option(command)
    return command


@dataclass(frozen=True)
class Reading:
    """How a capture is read, by the options."""

    columns: Mapping[str, str]
    traces: Mapping[str, Trace]
    keywords: Mapping[str, Any]
    part: tuple[str, str] | None
    segment: int | None

    @classmethod
    def of(
        cls, channels: Texts, scales: Texts, reading: Texts, between: str | None, segment: int | None
    ) -> Reading:
        """What the options say.

        Raises:
            InputError: one cannot be read.
        """
        columns, factors = assigned("channel", channels), assigned("scale", scales)
        alone = [name for name in factors if columns and name not in columns]
        if alone:
            raise InputError(
                InputProblem("scale", repr(name), "is of no --channel.", ", ".join(columns)) for name in alone
            )
        traces = {name: _trace(name, columns.get(name, name), text) for name, text in factors.items()}
        part = None if between is None else ends("between", "", between)
        return cls(columns, traces, _keywords(assigned("read", reading)), part, segment)

    def require_capture(self, paths: Sequence[Path]) -> None:
        """Refuse options that no file is read with.

        Raises:
            InputError: there are some, and no file is a capture.
        """
        from .testing.reference_file import is_capture

        given = {
            "channel": self.columns, "scale": self.traces, "read": self.keywords, "between": self.part,
            "segment": self.segment is not None,
        }  # fmt: skip
        idle = [name for name, one in given.items() if one]
        if idle and not any(is_capture(path) for path in paths):
            reason = "is about captures, and neither file is one."
            raise InputError(InputProblem(f"--{name}", None, reason) for name in idle)

    def waveform(self, *paths: Path) -> Waveform:
        """Of a capture, in one file or one for each channel."""
        return self._capture(*paths).waveform(self.segment)

    def waveform_file(self, path: Path) -> Record | Waveform:
        """Of a file of any kind."""
        from .testing.reference_file import is_capture, read_waveform_file

        return self.waveform(path) if is_capture(path) else read_waveform_file(path)

    def _capture(self, *paths: Path) -> Capture:
        from .capture import read_capture

        bench = read_capture(paths[0] if len(paths) == 1 else paths, **self.keywords)
        if self.part is not None:
            bench = bench.between(*self.part)
        if not (self.columns or self.traces):
            return bench
        columns = self.columns or {name: name for name in (*bench.values, *self.traces)}
        return bench.mapped({**columns, **self.traces})


def assigned(option: str, texts: Texts) -> dict[str, str]:
    """What options of the form NAME=VALUE say."""
    pairs = [(text, *(part.strip() for part in text.partition("=")[::2])) for text in texts]
    names = [name for _, name, _ in pairs]
    problems = [
        InputProblem(f"--{option}", repr(text), "is not of the form NAME=VALUE.")
        for text, name, value in pairs
        if not (name and value)
    ]
    problems += [
        InputProblem(f"--{option}", repr(name), "is given more than once.")
        for name in dict.fromkeys(names)
        if names.count(name) > 1
    ]
    if problems:
        raise InputError(problems)
    return {name: value for _, name, value in pairs}


def ends(option: str, before: str, text: str) -> tuple[str, str]:
    """Of a range that is written as "LOW to HIGH"."""
    found = [end.strip() for end in text.split(" to ")]
    if len(found) != 2:
        hint = f'Write "{before}LOW to HIGH".'
        raise InputError([InputProblem(f"--{option}", repr(text), "has no two ends.", hint=hint)])
    return found[0], found[1]


def _trace(name: str, column: str, text: str) -> Trace:
    from .capture import Trace

    found = _SCALE.fullmatch(text)
    try:
        return Trace(column=column, scale=found[1] if found else text, unit=(found and found[2]) or None)
    except InputError as error:
        hint = 'Write a number and its unit, such as "10 A".'
        raise InputError(
            InputProblem(f"--scale {name}", one.value, one.reason, hint=hint) for one in error.problems
        ) from None


def _keywords(given: Mapping[str, str]) -> dict[str, Any]:
    """Arguments of `read_capture`."""
    unknown = [name for name in given if name not in READING]
    if unknown:
        raise InputError(
            InputProblem("--read", repr(name), "no such setting.", ", ".join(READING),
                         did_you_mean(name, READING))
            for name in unknown
        )  # fmt: skip
    return {name: _keyword(name, text) for name, text in given.items()}


def _keyword(name: str, text: str) -> Any:
    if name in ("names", "units"):
        return [part.strip() for part in text.split(",")]
    if name == "time_column" and text.isdecimal():
        return int(text)
    if name not in _WHOLE:
        return _BLANK.get(text, text) if name == "delimiter" else text
    if not text.isdecimal():
        raise InputError([InputProblem(f"--read {name}", repr(text), "is no whole number.")])
    return int(text)
