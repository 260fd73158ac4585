"""How the command ends: its exit codes, and problems in the words of who typed it."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from .errors import InputError, InputProblem

__all__ = [
    "BAD_INPUT",
    "EXCEEDED",
    "HELD",
    "NOT_FINISHED",
    "OPTIONS",
    "READING",
    "OptionError",
    "exits",
    "in_options",
    "writes",
]

HELD, EXCEEDED, BAD_INPUT, NOT_FINISHED = 0, 1, 2, 3
INTERRUPTED = 130  # as shells report Ctrl-C
OPTIONS = "The options"

Subject = Path | str
# Keywords of functions that are options of the command.
_OWN = (
    "align", "bandwidth", "between", "current", "gain_error", "scale", "segment", "skew_error", "starts",
    "tolerance",
)  # fmt: skip
# Those that --read takes.
READING = (
    "delimiter", "decimal", "first_line", "encoding", "names", "units", "time_column", "time_unit",
    "sample_interval", "start", "most_samples",
)  # fmt: skip
_LISTS = {"unknowns": "--unknown", "channels": "--channel"}
_TRACE = re.compile(r"Trace\(column='[^']*', scale=([^,]+), unit='([^']*)'\)")
_CHANNELS = re.compile(r"read_capture\(channels=\{'([^']*)': '([^']*)'\}\)")
_KEYWORD = re.compile(rf"\b({'|'.join([*_OWN, *READING, *_LISTS])})=(?:'([^']*)')?")


def in_options(problem: InputProblem) -> InputProblem:
    """The same with the options of the command in the place of the keywords of Python.

    A message writes keywords as ``keyword=`` or ``keyword='value'``.
    """
    head, _, below = problem.path.partition(".")
    path = problem.path
    if head in _LISTS and below:
        path = f"{_LISTS[head]} {below}"
    elif head in (*_OWN, *READING, *_LISTS):
        path = f"--{head}" if head in _LISTS else _option(head)
    reason, hint = (_spoken(text, below) for text in (problem.reason, problem.hint))
    return InputProblem(path, problem.value, reason, problem.allowed, hint)


def _option(keyword: str, value: str | None = None) -> str:
    if keyword in _LISTS:
        return _LISTS[keyword]
    if keyword in _OWN:
        name = f"--{keyword.replace('_', '-')}"
        return name if value is None else f'{name} "{value}"'
    return f"--read {keyword}=..." if value is None else f'--read "{keyword}={value}"'


def _spoken(text: str, channel: str) -> str:
    text = _TRACE.sub(rf'--scale "{channel}=\1 \2"', text)
    text = _CHANNELS.sub(r'--channel "\1=\2"', text)
    return _KEYWORD.sub(lambda found: _option(found[1], found[2]), text)


class OptionError(InputError):
    """An option that cannot be used, whatever the command is about; the path of a problem is its name."""


@contextmanager
def writes(option: str, path: Path) -> Iterator[None]:
    """Turn what cannot be written into bad input."""
    try:
        yield
    except OSError as error:
        reason = f"cannot be written: {error.strerror}."
        raise OptionError([InputProblem(f"--{option}", repr(str(path)), reason)]) from None


@contextmanager
def exits(
    subject: Subject | Callable[[InputError], Subject],
    as_json: bool,
    words: Callable[[InputProblem], InputProblem] | None = None,
    verb: str = "used",
) -> Iterator[None]:
    """End the command with its exit code on bad input, with the problems reported, and on Ctrl-C.

    Args:
        subject: the file, or what else cannot be used; or says so of the error.
        as_json: print the problems as JSON.
        words: in which a problem is told.
        verb: what the subject cannot be.
    """
    try:
        yield
    except InputError as error:
        problems = [one if words is None else words(one) for one in error.problems]
        if isinstance(error, OptionError):
            _report(OPTIONS, problems, as_json, "used")
        else:
            _report(subject if isinstance(subject, Path | str) else subject(error), problems, as_json, verb)
        sys.exit(BAD_INPUT)
    except KeyboardInterrupt:
        sys.exit(INTERRUPTED)


def _report(subject: Subject, problems: list[InputProblem], as_json: bool, verb: str) -> None:
    if as_json:
        file = None if subject == OPTIONS else str(subject)
        plain = [vars(problem) for problem in problems]
        click.echo(json.dumps({"file": file, "outcome": "bad input", "problems": plain}, indent=2))
        return
    click.echo(f"{subject} cannot be {verb}:", err=True)
    for problem in problems:
        # The subject stands above.
        click.echo(f"  {str(problem).removeprefix(f'{subject}: ')}", err=True)
