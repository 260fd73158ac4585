"""The commands for captures: ``gateswing estimate`` and ``gateswing compare``."""

from __future__ import annotations

import dataclasses
import json
import re
import sys
import warnings
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .cli_exits import EXCEEDED, HELD, OPTIONS, READING, exits, in_options, writes
from .errors import InputError, InputProblem, did_you_mean

if TYPE_CHECKING:
    from .capture import Capture, Trace
    from .measurement.report import Estimation
    from .testing import Record, Tolerances
    from .waveforms.alignment import Alignment
    from .waveforms.waveform import Waveform

__all__ = ["compare", "estimate"]

# A number, and the unit behind it.
_SCALE = re.compile(r"([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*)")
_BLANK = {"tab": "\t", "blanks": " "}
_WHOLE = ("first_line", "most_samples")

Texts = tuple[str, ...]


def _of_captures(command: Callable[..., None]) -> Callable[..., None]:
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
    ):  # fmt: skip
        command = option(command)
    return command


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
@_of_captures
@click.option(
    "--between",
    help='Part of the record, with one turn-on and the turn-off after it, such as "2.9 us to 3.6 us"; left '
    "out: all.",
)
@click.option("--segment", type=int, help="Of the capture, counted from 0; needed where there are several.")
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
            how = _Reading.of(channels, scales, reading)
            part = None if between is None else _ends("between", "", between)
            probe = None if bandwidth is None else Probe(bandwidth=bandwidth)
        with exits(capture, as_json, in_options):
            waveform = how.capture(*captures, part=part).waveform(segment)
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
@_of_captures
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
    tolerances: Texts,
    artefacts: Path | None,
) -> None:
    """Compare the waveform in FILE with that in REFERENCE: references, waveforms as text, captures.

    --channel, --scale and --read are about those of the two that are captures.

    Exit code: 0 the same within the tolerances, 1 different, 2 a file cannot be used, 130 interrupted.
    """
    from .testing import compare_waveforms

    with exits(OPTIONS, as_json, in_options):
        how = _Reading.of(channels, scales, reading)
        gates = _tolerances(tolerances)
    both = []
    for path in (reference, file):
        with exits(path, as_json, in_options):
            both.append(how.waveform_file(path))
    with exits(f"{file} and {reference}", as_json, in_options, "compared"):
        names = None if compared is None else [name.strip() for name in compared.split(",")]
        found = compare_waveforms(*both, channels=names, align=align, tolerances=gates)
        _require_known(gates, found.reference)
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


@dataclasses.dataclass(frozen=True)
class _Reading:
    """How a capture is read, by the options."""

    columns: Mapping[str, str]
    traces: Mapping[str, Trace]
    keywords: Mapping[str, Any]

    @classmethod
    def of(cls, channels: Texts, scales: Texts, reading: Texts) -> _Reading:
        columns, factors = _assigned("channel", channels), _assigned("scale", scales)
        alone = [name for name in factors if columns and name not in columns]
        if alone:
            raise InputError(
                InputProblem("scale", repr(name), "is of no --channel.", ", ".join(columns)) for name in alone
            )
        traces = {name: _trace(name, columns.get(name, name), text) for name, text in factors.items()}
        return cls(columns, traces, _keywords(_assigned("read", reading)))

    def capture(self, *paths: Path, part: tuple[str, str] | None = None) -> Capture:
        from .capture import read_capture

        bench = read_capture(paths[0] if len(paths) == 1 else paths, **self.keywords)
        if part is not None:
            bench = bench.between(*part)
        if not (self.columns or self.traces):
            return bench
        columns = self.columns or {name: name for name in (*bench.values, *self.traces)}
        return bench.mapped({**columns, **self.traces})

    def waveform_file(self, path: Path) -> Record | Waveform:
        from .testing.reference_file import is_capture, read_waveform_file

        return self.capture(path).waveform() if is_capture(path) else read_waveform_file(path)


def _assigned(option: str, texts: Texts) -> dict[str, str]:
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


def _bounds(texts: Texts) -> dict[str, tuple[str, str]]:
    """Of each unknown by its path."""
    given = _assigned("unknown", texts)
    return {path: _ends(f"unknown {path}", f"{path}=", ends) for path, ends in given.items()}


def _ends(option: str, before: str, text: str) -> tuple[str, str]:
    """Of a range that is written as "LOW to HIGH"."""
    ends = [end.strip() for end in text.split(" to ")]
    if len(ends) != 2:
        hint = f'Write "{before}LOW to HIGH".'
        raise InputError([InputProblem(f"--{option}", repr(text), "has no two ends.", hint=hint)])
    return ends[0], ends[1]


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


def _tolerances(texts: Texts) -> Tolerances:
    """Fields of the tolerances by their names, any other name a figure."""
    from .model import Quantity, argument, at_least
    from .testing import Tolerances

    fields = {one.name for one in dataclasses.fields(Tolerances)} - {"figures"}
    units = dict.fromkeys(("tube_time", "shift"), "s")
    own: dict[str, float] = {}
    figures: dict[str, tuple[float, float]] = {}
    for name, text in _assigned("tolerance", texts).items():
        kind = Quantity(units.get(name, ""), "What counts as the same.", allowed=at_least(0.0, 1.0))
        value = argument(f"--tolerance {name}", text, kind)
        if name in fields:
            own[name] = value
        else:
            figures[name] = (value, 0.0)
    return Tolerances(figures=figures, **own)


def _require_known(gates: Tolerances, reference: Record) -> None:
    """Refuse a tolerance for a figure that the reference has not."""
    known = {part for name in reference.figures for part in (name, name.rpartition(".")[2])}
    unknown = [name for name in gates.figures if name not in known]
    if unknown:
        own = [one.name for one in dataclasses.fields(gates) if one.name != "figures"]
        raise InputError(
            InputProblem("--tolerance", repr(name), "no such figure in the reference, and no such gate.",
                         hint=did_you_mean(name, [*known, *own]))
            for name in unknown
        )  # fmt: skip


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
