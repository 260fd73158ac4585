"""The command ``gateswing``."""

from __future__ import annotations

import json
import sys
import warnings
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from . import __version__
from .cautions import ESTIMATE
from .cli_bench import compare, estimate
from .cli_exits import EXCEEDED, HELD, NOT_FINISHED, OptionError, exits, writes
from .errors import InputProblem

if TYPE_CHECKING:
    from .datasheet.fit_report import MosfetFit
    from .limits.verdict import BridgeVerdict, Verdict

__all__ = ["main"]

_EXAMPLES = Path(__file__).parent / "examples"


@click.group(
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog=(
        "check, report and estimate take a design, fit a data sheet, as files in TOML.\n\n"
        f"\b\nExamples to start from:\n{_EXAMPLES}"
    ),
)
@click.version_option(__version__, prog_name="gateswing")
def main() -> None:
    """How a driver switches a power MOSFET: edges, losses, limits."""


main.add_command(estimate)
main.add_command(compare)


@main.command(short_help="Judge a design by its limits.")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
def check(file: Path, as_json: bool) -> None:
    """Simulate the design in FILE (TOML), a low-side cell or a half bridge, and judge it by its limits.

    Exit code: 0 all limits are held (marginal ones included), 1 a limit is exceeded or a junction runs away,
    2 the file cannot be used, 3 the simulation did not finish or found no steady state, 130 interrupted.
    """
    # Loaded here, so that --help and --version stay quick.
    from .circuit.design_file import read_design
    from .limits.verdict import check as judge

    with exits(file, as_json):
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


@main.command(short_help="Fit a MOSFET model to a data sheet.")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
@click.option(
    "--output",
    type=click.Path(path_type=Path),
    help="Write the model there, in TOML, as a design file has it.",
)
@click.option("--bench", "on_bench", is_flag=True, help="Put the model through the sheet's tests as well.")
def fit(file: Path, as_json: bool, output: Path | None, on_bench: bool) -> None:
    """Fit a MOSFET model to the data sheet in FILE (TOML) and set each figure beside the model's.

    Exit code: 0 the fit meets every figure within 20 %, 1 it does not, 2 the file cannot be used or the model
    cannot be written, 130 interrupted.
    """
    from .datasheet.fit import fit_mosfet
    from .datasheet.sheet import read_sheet
    from .test_bench.virtual_bench import virtual_bench

    with exits(file, as_json):
        found = fit_mosfet(read_sheet(file))
        if output is not None:
            _write_part(found, output)
        bench = virtual_bench(found) if on_bench else None
    if as_json:
        plain = {"file": str(file), **found.to_mapping()} | ({"bench": bench.to_mapping()} if bench else {})
        click.echo(json.dumps(plain, indent=2, allow_nan=False))
    else:
        # The report of the bench ends with the same sentence.
        last = repr(bench) if bench else ESTIMATE
        click.echo("\n\n".join([f"{file.name}: {found.sheet.name}".rstrip(": "), repr(found), last]))
    sys.exit(EXCEEDED if found.verdict == "poor" else HELD)


@main.command(short_help="Write all about a design on one page in HTML.")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--output",
    type=click.Path(path_type=Path),
    help="Write the page there; left out: in this folder, under FILE's name with .html.",
)
@click.option(
    "--date",
    type=click.DateTime(["%Y-%m-%d"]),
    metavar="YYYY-MM-DD",
    help="Date to print on the page; left out: that of today.",
)
def report(file: Path, output: Path | None, date: datetime | None) -> None:
    """Judge the design in FILE (TOML), a low-side cell or a half bridge, and write all about it on one page.

    The page is HTML and needs no other file. Exit code as of `check`: 0 all limits are held, 1 a limit is
    exceeded, 2 the file cannot be used or the page cannot be written, 3 the simulation did not finish, 130
    interrupted. There is a page in all cases but the last and 2.
    """
    from .circuit.design_file import read_design
    from .reporting import report as tell

    path = output or Path(file.with_suffix(".html").name)
    with exits(file, as_json=False):
        design = read_design(file)
        if path.exists() and path.samefile(file):
            raise OptionError([InputProblem("--output", repr(str(path)), "is the design file itself.")])
        with warnings.catch_warnings():
            # They are on the page.
            warnings.simplefilter("ignore")
            page = tell(design, date=(date or datetime.now()).date())
        with writes("output", path):
            page.write(path)
    click.echo(f"{file.name}: {page.verdict.sentence()}\nwrote {path}")
    sys.exit(_exit_code(page.verdict))


def _exit_code(verdict: Verdict | BridgeVerdict) -> int:
    return {"exceeded": EXCEEDED, "not finished": NOT_FINISHED}.get(verdict.outcome, HELD)


@main.command(short_help="List the parts that a file may name, or show one.")
@click.argument("name", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
def parts(name: str | None, as_json: bool) -> None:
    """List the parts that a design file may name, or show the values of the part NAME.

    Exit code: 0 shown, 2 there is no such part or it cannot be used.
    """
    from .library.part_library import part_file
    from .library.part_library import parts as every

    with exits(name or "parts", as_json), warnings.catch_warnings():
        # The table shows them.
        warnings.simplefilter("ignore")
        if name is None:
            library = every()
            click.echo(json.dumps(library.to_mapping(), indent=2) if as_json else repr(library))
        else:
            shown = part_file(name)
            values = {"name": name, "kind": shown.kind, "title": shown.title, "values": shown.values()}
            click.echo(json.dumps(values, indent=2) if as_json else repr(shown))


def _write_part(found: MosfetFit, path: Path) -> None:
    from .document import write_tables

    with writes("output", path):
        write_tables({"cell": {"mosfet": found.part()}}, path)


def _text(file: Path, verdict: Verdict | BridgeVerdict) -> str:
    """The verdict first, then what it rests on."""
    from .tables import text_table

    parts = [f"{file.name}: {verdict.design.title}" if verdict.design.title else file.name]
    parts.append(repr(verdict))
    if verdict.outcome in ("exceeded", "marginal") and not verdict.next_change:
        parts.append("None of the changes that usually help was found to help here.")
    if verdict.checks:
        meanings = [(check.title, check.definition) for check in verdict.checks]
        parts.append(f"Meaning of the figures\n{text_table(meanings, right_aligned=frozenset())}")
    parts.append(repr(verdict.point))
    parts += [f"Caution: {caution}" for caution in verdict.cautions]
    return "\n\n".join([*parts, ESTIMATE])
