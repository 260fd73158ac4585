"""How the command ends: exit codes, and bad input told in the words of the command line."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from .errors import InputError, InputProblem

__all__ = ["BAD_INPUT", "EXCEEDED", "HELD", "INTERRUPTED", "NOT_FINISHED", "OptionError", "exits", "writes"]

HELD, EXCEEDED, BAD_INPUT, NOT_FINISHED = 0, 1, 2, 3
INTERRUPTED = 130  # as shells report Ctrl-C


class OptionError(InputError):
    """An option that cannot be used; the path of a problem is its name."""


@contextmanager
def writes(option: str, path: Path) -> Iterator[None]:
    """Turn what cannot be written into bad input."""
    try:
        yield
    except OSError as error:
        reason = f"cannot be written: {error.strerror}."
        raise OptionError([InputProblem(option, repr(str(path)), reason)]) from None


@contextmanager
def exits(file: Path | str, as_json: bool, refusal: str = "") -> Iterator[None]:
    """End the command with its exit code on bad input, with the problems reported, and on Ctrl-C.

    Args:
        file: that the command is about.
        as_json: whether the problems are to be one JSON object.
        refusal: what cannot be done, as a heading; left out: that the file cannot be used.
    """
    try:
        yield
    except InputError as error:
        _report(file, error, as_json, refusal or f"{file} cannot be used")
        sys.exit(BAD_INPUT)
    except KeyboardInterrupt:
        sys.exit(INTERRUPTED)


def _report(file: Path | str, error: InputError, as_json: bool, refusal: str) -> None:
    if as_json:
        problems = [vars(problem) for problem in error.problems]
        click.echo(json.dumps({"file": str(file), "outcome": "bad input", "problems": problems}, indent=2))
        return
    is_option = isinstance(error, OptionError)
    click.echo("An option cannot be used:" if is_option else f"{refusal}:", err=True)
    for problem in error.problems:
        # What is a keyword of a function in Python is an option here.
        text = str(problem).replace("read_capture(channels=...)", "--channel NAME=COLUMN")
        click.echo(f"  {'--' if is_option else ''}{text}", err=True)
