"""The command ``gateswing``."""

from __future__ import annotations

import json
import sys
import warnings
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from . import __version__
from .cautions import ESTIMATE
from .cli_errors import EXCEEDED, HELD, NOT_FINISHED, OptionError, exits, writes
from .errors import InputProblem

if TYPE_CHECKING:
    from .capture import Trace
    from .datasheet.fit_report import MosfetFit
    from .limits.verdict import BridgeVerdict, Verdict
    from .measurement.report import Estimation
    from .waveforms.alignment import Alignment

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
            raise OptionError([InputProblem("output", repr(str(path)), "is the design file itself.")])
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


@main.command(short_help="Compare two waveforms as a test does.")
@click.argument("reference", type=click.Path(path_type=Path))
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
@click.option(
    "--align",
    type=click.Choice(["none", "gate", "drain"]),
    default="none",
    help="Event to align on.",
    show_default=True,
)
@click.option("--channels", help="Names of the channels that count, with commas; left out: all.")
@click.option(
    "--artefacts",
    type=click.Path(path_type=Path),
    help="Folder for the table and a plot with the tube, where the waveforms differ.",
)
def compare(
    reference: Path, file: Path, as_json: bool, align: Alignment, channels: str | None, artefacts: Path | None
) -> None:
    """Compare the waveform in FILE with that in REFERENCE.

    Each is a reference of a test (waveform_regression), a waveform that write_csv wrote, or a capture of an
    oscilloscope.

    Exit code: 0 the same within the tolerances, 1 different, 2 a file cannot be used, 130 interrupted.
    """
    from .testing import compare_waveforms

    with exits(file, as_json, "The comparison cannot be made"):
        names = None if channels is None else [name.strip() for name in channels.split(",")]
        found = compare_waveforms(reference, file, channels=names, align=align)
        if artefacts is not None and not found.is_same:
            with writes("artefacts", artefacts):
                found.write(artefacts)
    if as_json:
        head = {"reference": str(reference), "file": str(file)}
        click.echo(json.dumps({**head, **found.to_mapping()}, indent=2, allow_nan=False))
    else:
        click.echo(
            f"{file.name} against {reference.name}\n\n{found.summary()}\n{found.table(not found.is_same)}"
        )
    sys.exit(HELD if found.is_same else EXCEEDED)


@main.command(short_help="Estimate what is unknown of a circuit from a capture.")
@click.argument("design", type=click.Path(path_type=Path))
@click.argument("capture", type=click.Path(path_type=Path))
@click.option(
    "--unknown",
    "unknowns",
    multiple=True,
    required=True,
    help='Field of the cell and its bounds, such as "loop_inductance=5 nH to 200 nH"; once for each.',
)
@click.option(
    "--channel",
    "channels",
    multiple=True,
    help='Channel and its column, such as "v_ds_pin=CH2"; left out: columns have the names of channels.',
)
@click.option(
    "--scale", "scales", multiple=True, help='What 1 in a column is, such as "i_d=10 A"; left out: 1.'
)
@click.option("--bandwidth", help='Of probes and instrument, such as "200 MHz"; left out: all is seen.')
@click.option("--current", help="In the load at the turn-on; left out: estimated from the capture.")
@click.option("--gain-error", default="2 %", show_default=True, help="Standard deviation of each scale.")
@click.option("--skew-error", default="2 ns", show_default=True, help="The same of delays against v_DS.")
@click.option("--starts", default=4, show_default=True, help="Most searches that are made.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
@click.option(
    "--plot", type=click.Path(path_type=Path), help="Draw model, capture and what is left into this file."
)
def estimate(
    design: Path,
    capture: Path,
    unknowns: tuple[str, ...],
    channels: tuple[str, ...],
    scales: tuple[str, ...],
    bandwidth: str | None,
    as_json: bool,
    plot: Path | None,
    **options: Any,
) -> None:
    """Estimate what is unknown of the low-side cell of DESIGN (TOML) from both edges in CAPTURE (text).

    CAPTURE is a table of an oscilloscope with time, v_gs_pin, v_ds_pin and, best, i_d.

    Exit code: 0 the capture tells every unknown, 1 it leaves one open, one is at its bound, or the model does
    not explain the capture, 2 a file or an option cannot be used, 130 interrupted.
    """
    from .capture import read_capture
    from .circuit.design_file import Design
    from .measurement.estimate import estimate as estimated
    from .measurement.probe import Probe

    with exits(design, as_json, "The estimate cannot be made"), warnings.catch_warnings():
        # What speaks against the answer is printed with it.
        warnings.simplefilter("ignore")
        cell = Design.read(design).cell
        wanted = {path: _bounds(path, ends) for path, ends in _assigned("unknown", unknowns).items()}
        found = estimated(
            cell, read_capture(capture, channels=_traces(channels, scales)), wanted,
            probe=None if bandwidth is None else Probe(bandwidth=bandwidth), **options,
        )  # fmt: skip
        if plot is not None:
            _draw(found, plot)
    if as_json:
        head = {"design": str(design), "file": str(capture)}
        click.echo(json.dumps({**head, **found.to_mapping()}, indent=2, allow_nan=False))
    else:
        click.echo(f"{capture.name}, by {design.name}\n\n{found!r}")
    told = all(one.is_identified for one in found.estimates) and not found.warnings
    sys.exit(HELD if told else EXCEEDED)


def _assigned(option: str, texts: tuple[str, ...]) -> dict[str, str]:
    """What options of the form NAME=VALUE say."""
    pairs = [text.partition("=") for text in texts]
    problems = [
        InputProblem(option, repr(text), "is not of the form NAME=VALUE.")
        for text, (name, _, value) in zip(texts, pairs, strict=True)
        if not (name.strip() and value.strip())
    ]
    if problems:
        raise OptionError(problems)
    return {name.strip(): value.strip() for name, _, value in pairs}


def _bounds(path: str, text: str) -> tuple[str, str]:
    ends = [end.strip() for end in text.split(" to ")]
    if len(ends) != 2:
        hint = f'Write "{path}=LOW to HIGH".'
        raise OptionError([InputProblem("unknown", repr(f"{path}={text}"), "has no two bounds.", hint=hint)])
    return ends[0], ends[1]


def _traces(channels: tuple[str, ...], scales: tuple[str, ...]) -> dict[str, Trace] | None:
    """The channels by name, or None where the columns have their names."""
    from .capture import Trace

    columns, factors = _assigned("channel", channels), _assigned("scale", scales)
    alone = [name for name in factors if name not in columns]
    if alone:
        known = ", ".join(columns)
        raise OptionError(
            [InputProblem("scale", repr(name), "is of no --channel.", known or "none") for name in alone]
        )
    traces = {}
    for name, column in columns.items():
        factor, _, unit = factors.get(name, "1").partition(" ")
        traces[name] = Trace(column=column, scale=factor, unit=unit.strip() or None)
    return traces or None


def _draw(found: Estimation, path: Path) -> None:
    from matplotlib import pyplot as plt

    figure = found.plot()
    try:
        with writes("plot", path):
            figure.savefig(path)
    except ValueError as error:  # of a kind of file that is not drawn
        raise OptionError([InputProblem("plot", repr(str(path)), f"{error}.")]) from None
    finally:
        plt.close(figure)


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
