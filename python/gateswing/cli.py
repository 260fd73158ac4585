"""The command ``gateswing``."""

from __future__ import annotations

import json
import sys
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from . import __version__
from .cautions import ESTIMATE
from .errors import InputError, InputProblem

if TYPE_CHECKING:
    from .fit_report import MosfetFit
    from .verdict import Verdict

__all__ = ["main"]

HELD, EXCEEDED, BAD_INPUT, NOT_FINISHED = 0, 1, 2, 3
INTERRUPTED = 130  # as shells report Ctrl-C


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="gateswing")
def main() -> None:
    """How a driver switches a power MOSFET: edges, losses, limits."""


@main.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
def check(file: Path, as_json: bool) -> None:
    """Simulate the design in FILE (TOML) and judge it by its limits.

    Exit code: 0 all limits are held (marginal ones included), 1 a limit is exceeded, 2 the file cannot
    be used, 3 the simulation did not finish or did not become periodic, 130 interrupted.
    """
    # Loaded here, so that --help and --version stay quick.
    from .design_file import read_design
    from .verdict import check as judge

    with _exits(file, as_json):
        design = read_design(file)
        with warnings.catch_warnings():
            # The verdict keeps them, and they are printed with it.
            warnings.simplefilter("ignore")
            verdict = judge(design)
    if as_json:
        click.echo(json.dumps({"file": str(file), **verdict.to_mapping()}, indent=2, allow_nan=False))
    else:
        click.echo(_text(file, verdict))
    sys.exit(_exit_code(verdict))


@main.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
@click.option(
    "--output",
    type=click.Path(path_type=Path),
    help="Write the model there, in TOML, as a design file has it.",
)
def fit(file: Path, as_json: bool, output: Path | None) -> None:
    """Fit a MOSFET model to the data sheet in FILE (TOML) and set each figure beside the model's.

    Exit code: 0 every figure is met within 20 %, 1 one is not, 2 the file cannot be used or the model cannot
    be written, 130 interrupted.
    """
    from .fit import fit_mosfet
    from .sheet import read_sheet

    with _exits(file, as_json):
        found = fit_mosfet(read_sheet(file))
        if output is not None:
            _write_part(found, output)
    if as_json:
        click.echo(json.dumps({"file": str(file), **found.to_mapping()}, indent=2, allow_nan=False))
    else:
        click.echo("\n\n".join([f"{file.name}: {found.sheet.name}".rstrip(": "), repr(found), ESTIMATE]))
    sys.exit(EXCEEDED if found.verdict == "poor" else HELD)


@main.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--output",
    type=click.Path(path_type=Path),
    help="Write the page there; left out: in this folder, under FILE's name with .html.",
)
@click.option(
    "--date", type=click.DateTime(["%Y-%m-%d"]), help="Date to print on the page; left out: that of today."
)
def report(file: Path, output: Path | None, date: datetime | None) -> None:
    """Judge the design in FILE (TOML) and write all about it on one page in HTML.

    Exit code: as of `check`, 2 also if the page cannot be written. There is a page in all cases but 2.
    """
    from .design_file import read_design
    from .reporting import report as tell

    path = output or Path(file.with_suffix(".html").name)
    with _exits(file, as_json=False):
        design = read_design(file)
        if path.exists() and path.samefile(file):
            raise InputError([InputProblem("output", repr(str(path)), "is the design file itself.")])
        with warnings.catch_warnings():
            # They are on the page.
            warnings.simplefilter("ignore")
            page = tell(design, date=(date or datetime.now()).date())
        with _writes(path):
            page.write(path)
    click.echo(f"{file.name}: {page.verdict.sentence()}\nwrote {path}")
    sys.exit(_exit_code(page.verdict))


def _exit_code(verdict: Verdict) -> int:
    if not verdict.point.succeeded:
        return NOT_FINISHED
    return EXCEEDED if verdict.outcome == "exceeded" else HELD


def _write_part(found: MosfetFit, path: Path) -> None:
    from .document import write_tables

    with _writes(path):
        write_tables({"cell": {"mosfet": found.part()}}, path)


@contextmanager
def _writes(path: Path) -> Iterator[None]:
    """Turn a file that cannot be written into bad input."""
    try:
        yield
    except OSError as error:
        reason = f"cannot be written: {error.strerror}."
        raise InputError([InputProblem("output", repr(str(path)), reason)]) from None


@contextmanager
def _exits(file: Path, as_json: bool) -> Iterator[None]:
    """End the command with its exit code on bad input, with the problems reported, and on Ctrl-C."""
    try:
        yield
    except InputError as error:
        _report_problems(file, error, as_json)
        sys.exit(BAD_INPUT)
    except KeyboardInterrupt:
        sys.exit(INTERRUPTED)


def _report_problems(file: Path, error: InputError, as_json: bool) -> None:
    if as_json:
        problems = [vars(problem) for problem in error.problems]
        click.echo(json.dumps({"file": str(file), "outcome": "bad input", "problems": problems}, indent=2))
        return
    click.echo(f"{file} cannot be used:", err=True)
    for problem in error.problems:
        click.echo(f"  {problem}", err=True)


def _text(file: Path, verdict: Verdict) -> str:
    """The verdict first, then what it rests on."""
    from .tables import text_table

    parts = [f"{file.name}: {verdict.design.title}" if verdict.design.title else file.name]
    parts.append(repr(verdict))
    if verdict.next_change:
        parts.append(f"Next change: {verdict.next_change.sentence()}")
    if verdict.checks:
        meanings = [(check.title, check.definition) for check in verdict.checks]
        parts.append(f"Meaning of the figures\n{text_table(meanings, right_aligned=frozenset())}")
    parts.append(repr(verdict.point))
    parts += [f"Caution: {caution}" for caution in verdict.cautions]
    return "\n\n".join([*parts, ESTIMATE])
