"""The commands for captures: ``gateswing estimate`` and ``gateswing compare``."""

from __future__ import annotations

import dataclasses
import json
import sys
import warnings
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .cli_captures import Reading, Texts, assigned, ends, of_captures
from .cli_exits import EXCEEDED, HELD, OPTIONS, exits, in_options, writes
from .errors import InputError, InputProblem, did_you_mean

if TYPE_CHECKING:
    from .measurement.report import Estimation
    from .testing import Record, Tolerances
    from .waveforms.alignment import Alignment
    from .waveforms.waveform import Waveform

__all__ = ["compare", "estimate"]

_UNITS = ("s", "V", "A", "J", "C", "Hz", "W", "V/s", "A/s")  # of amounts that are allowed


@click.command(short_help="Estimate what is unknown of a circuit from a capture.")
@click.argument("design", type=click.Path(path_type=Path))
@click.argument("captures", metavar="CAPTURE...", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--unknown",
    "unknowns",
    multiple=True,
    required=True,
    help='Field of the cell and its bounds, such as "loop_inductance=5 nH to 200 nH"; once for each.',
)
@of_captures
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
    captures: tuple[Path, ...],
    unknowns: Texts,
    channels: Texts,
    scales: Texts,
    reading: Texts,
    between: str | None,
    segment: int | None,
    bandwidth: str | None,
    as_json: bool,
    plot: Path | None,
    **options: Any,
) -> None:
    """Estimate what is unknown of the cell of DESIGN (TOML) from both edges in CAPTURE (text).

    Where the instrument wrote one file for each channel, name them all; columns are then called as the files.

    Exit code: 0 the capture tells every unknown, 1 it leaves one open, one is at its bound, or the model does
    not explain the capture, 2 a file or an option cannot be used, 130 interrupted. Where only the picture
    cannot be drawn, the answer is printed all the same.
    """
    from .circuit.design_file import Design
    from .measurement.estimate import estimate as estimated
    from .measurement.probe import Probe

    capture = ", ".join(str(path) for path in captures)

    with warnings.catch_warnings():
        # What speaks against the answer is printed with it.
        warnings.simplefilter("ignore")
        with exits(design, as_json):
            cell = Design.read(design).cell
        with exits(OPTIONS, as_json, in_options):
            wanted = _bounds(unknowns)
            how = Reading.of(channels, scales, reading, between, segment)
            probe = None if bandwidth is None else Probe(bandwidth=bandwidth)
        with exits(capture, as_json, in_options):
            waveform = how.waveform(*captures)
        with exits(lambda error: _blamed(error, capture), as_json, in_options):
            found = estimated(cell, waveform, wanted, probe=probe, **options)
        _tell(design, captures, found, as_json)
        # In text, since the one JSON object is the answer.
        with exits(OPTIONS, as_json=False):
            _draw(found, plot)
    sys.exit(HELD if _is_told(found) else EXCEEDED)


@click.command(short_help="Compare two waveforms as a test does.")
@click.argument("reference", type=click.Path(path_type=Path))
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
@click.option(
    "--align",
    type=click.Choice(["none", "gate", "drain"]),
    default="none",
    show_default=True,
    help="Event to align on.",
)
@click.option("--channels", "compared", help="Names of the channels that count, with commas; left out: all.")
@of_captures
@click.option(
    "--tolerance",
    "tolerances",
    multiple=True,
    help='What counts as the same, such as "delay=5 %" for a figure, "tube_value=3 %", "tube_time=1 ns" or '
    '"shift=2 ns"; once for each.',
)
@click.option(
    "--artefacts",
    type=click.Path(path_type=Path),
    help="Folder for the table and a plot with the tube, where the waveforms differ.",
)
def compare(
    reference: Path,
    file: Path,
    as_json: bool,
    align: Alignment,
    compared: str | None,
    channels: Texts,
    scales: Texts,
    reading: Texts,
    between: str | None,
    segment: int | None,
    tolerances: Texts,
    artefacts: Path | None,
) -> None:
    """Compare the waveform in FILE with that in REFERENCE: references, waveforms as text, captures.

    --channel, --scale, --read, --between and --segment are about those of the two that are captures. With one
    of these, channels that only the other has do not count.

    Exit code: 0 the same within the tolerances, 1 different, 2 a file cannot be used, 130 interrupted.
    """
    from .testing import compare_waveforms

    with exits(OPTIONS, as_json, in_options):
        how = Reading.of(channels, scales, reading, between, segment)
        gates, units = _tolerances(tolerances)
        how.require_capture((reference, file))
    both = []
    for path in (reference, file):
        with exits(path, as_json, in_options):
            both.append(how.waveform_file(path))
    with exits(f"{file} and {reference}", as_json, in_options, "compared"):
        names = _list(compared) if compared else _in_both(both, (reference, file))
        found = compare_waveforms(*both, channels=names, align=align, tolerances=gates)
        _require_known(gates, units, found.reference)
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


def _tell(design: Path, captures: tuple[Path, ...], found: Estimation, as_json: bool) -> None:
    """Print what was found."""
    if as_json:
        head = {"design": str(design), "file": ", ".join(str(path) for path in captures)}
        click.echo(json.dumps({**head, **found.to_mapping()}, indent=2, allow_nan=False))
    else:
        names = ", ".join(path.name for path in captures)
        click.echo(f"{names}, by {design.name}\n\n{found!r}")


def _bounds(texts: Texts) -> dict[str, tuple[str, str]]:
    """Of each unknown by its path."""
    given = assigned("unknown", texts)
    return {path: ends(f"unknown {path}", f"{path}=", text) for path, text in given.items()}


def _tolerances(texts: Texts) -> tuple[Tolerances, dict[str, str]]:
    """Fields by their names; any other name is a figure with a share, or an amount in a unit that is told."""
    from .testing import Tolerances

    fields = {one.name for one in dataclasses.fields(Tolerances)} - {"figures"}
    own: dict[str, Any] = {}
    figures: dict[str, tuple[float, float]] = {}
    units: dict[str, str] = {}
    for name, text in assigned("tolerance", texts).items():
        if name in fields:
            own[name] = _amount(name, text, ("V", "A"))[0] if name == "least_value" else text
        else:
            value, unit = _amount(name, text, ("", *_UNITS))
            figures[name] = (0.0, value) if unit else (value, 0.0)
            if unit:
                units[name] = unit
    try:
        return Tolerances(figures=figures, **own), units
    except InputError as error:
        raise InputError(
            dataclasses.replace(problem, path=f"--tolerance {problem.path}") for problem in error.problems
        ) from None


def _amount(name: str, text: str, units: Sequence[str]) -> tuple[float, str]:
    """A text in one of several units, and which.

    Raises:
        InputError: it is in none, as the first has it.
    """
    from .model import Quantity, argument, at_least

    refused: InputError | None = None
    for unit in units:
        kind = Quantity(unit, "What counts as the same.", allowed=at_least(0.0, 1e6))
        try:
            return argument(f"--tolerance {name}", text, kind), unit
        except InputError as error:
            refused = refused or error
    assert refused is not None
    raise refused


def _list(text: str) -> list[str]:
    return [name.strip() for name in text.split(",")]


def _in_both(both: Sequence[Record | Waveform], paths: Sequence[Path]) -> list[str] | None:
    """Channels that are compared: with a capture those of both, else all of the reference."""
    from .testing.reference_file import is_capture
    from .waveforms.waveform import Waveform

    if not any(is_capture(path) for path in paths):
        return None
    known, found = (list((one if isinstance(one, Waveform) else one.waveform).units) for one in both)
    return [name for name in known if name in found] or None


def _require_known(gates: Tolerances, units: Mapping[str, str], reference: Record) -> None:
    """Refuse a tolerance for a figure that the reference has not, or has in another unit."""
    known: dict[str, set[str]] = {}
    for name, figure in reference.figures.items():
        for part in (name, name.rpartition(".")[2]):
            known.setdefault(part, set()).add(figure.unit)
    own = [one.name for one in dataclasses.fields(gates) if one.name != "figures"]
    problems = []
    for name in gates.figures:
        if name not in known:
            reason, hint = (
                "no such figure in the reference, and no such gate.",
                did_you_mean(name, [*known, *own]),
            )
            problems.append(InputProblem("--tolerance", repr(name), reason, hint=hint))
        elif name in units and units[name] not in known[name]:
            reason = f"is an amount in {units[name]}, and the figure in {' or '.join(sorted(known[name]))}."
            problems.append(InputProblem("--tolerance", repr(name), reason))
    if problems:
        raise InputError(problems)


def _is_told(found: Estimation) -> bool:
    return all(one.is_identified for one in found.estimates) and not found.warnings


def _blamed(error: InputError, capture: str) -> str:
    return capture if all(one.path == "capture" for one in error.problems) else OPTIONS


def _draw(found: Estimation, path: Path | None) -> None:
    if path is None:
        return
    from matplotlib import pyplot as plt

    figure = found.plot()
    try:
        with writes("plot", path):
            figure.savefig(path)
    except InputError:  # a ValueError too
        raise
    except ValueError as error:  # of a kind of file that is not drawn
        raise InputError([InputProblem("--plot", repr(str(path)), f"{error}.")]) from None
    finally:
        plt.close(figure)
