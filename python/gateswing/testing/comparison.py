"""A waveform against its reference: what must hold, then the figures, then the shape.

Shape alone is a poor judge: a ring that is 1 % slower is out of phase after tens of cycles, and a spike
narrower than the tube does not show. XX, and only what
comes before and between is compared by the tube; and the extremes of every channel are figures.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from ..errors import InputError, InputProblem, did_you_mean
from ..figures import format_figure, json_value
from ..studies.results import DoublePulse
from ..tables import html_table, text_table
from ..waveforms.alignment import Alignment, find_event
from ..waveforms.waveform import Waveform
from .record import Part, Record, record_of
from .reference_file import read_waveform_file
from .tolerances import Tolerances
from .tube import excess

if TYPE_CHECKING:
    from matplotlib.figure import Figure

__all__ = [
    "Comparison",
    "ComparisonRow",
    "WaveformMismatchError",
    "assert_waveform_close",
    "compare_waveforms",
]

Source = DoublePulse | Waveform | Record

_HEADER = ("compared", "reference", "found", "distance", "allowed", "")
_RIGHT = frozenset({1, 2, 3, 4})
_MOST_ROWS = 40  # of a failure message


class WaveformMismatchError(AssertionError):
    """A waveform is not that of its reference. ``comparison`` has all rows."""

    def __init__(self, comparison: Comparison, where: str = "") -> None:
        self.comparison = comparison
        super().__init__(f"{comparison.summary()}\n{comparison.table(only_different=True)}{where}")


@dataclass(frozen=True)
class ComparisonRow:
    """One thing that was compared.

    Attributes:
        gate: ``invariant``, ``figure`` or ``shape``.
        name: what.
        unit: in SI.
        reference, found: values; NaN for one that does not exist.
        allowed: largest distance.
        distance: found less reference; of a shape, the worst distance.
        first_time: when the shape first leaves the tube [s]; NaN for never.
    """

    gate: str
    name: str
    unit: str
    reference: float
    found: float
    distance: float
    allowed: float
    first_time: float = math.nan

    @property
    def is_same(self) -> bool:
        """Whether the distance is allowed. A figure that neither has is the same."""
        if math.isnan(self.distance):
            return math.isnan(self.reference) and math.isnan(self.found)
        return abs(self.distance) <= self.allowed

    def cells(self) -> tuple[str, ...]:
        """The row as text."""
        values = (self.reference, self.found, self.distance, self.allowed)
        shown = [format_figure(value, self.unit) for value in values]
        note = "" if self.is_same else "DIFFERS"
        if not math.isnan(self.first_time):
            note += f" from {format_figure(self.first_time, 's', 5)} on"
        return (f"{self.gate}: {self.name}", *shown, note)


@dataclass(frozen=True, repr=False)
class Comparison:
    """All rows of a comparison.

    Attributes:
        rows: invariants, figures, shape.
        reference, found: what was compared.
        shift: by which events of the found one are later [s].
        half_time: half width of the tube along time [s].
        half_values: half width along the value of each channel.
    """

    rows: tuple[ComparisonRow, ...]
    reference: Record
    found: Record
    shift: float
    half_time: float
    half_values: Mapping[str, float]

    @property
    def is_same(self) -> bool:
        """Whether every row is."""
        return all(row.is_same for row in self.rows)

    @property
    def different(self) -> tuple[ComparisonRow, ...]:
        """Rows beyond what is allowed."""
        return tuple(row for row in self.rows if not row.is_same)

    def summary(self) -> str:
        """The outcome in a sentence."""
        if self.is_same:
            return f"Same waveform: {len(self.rows)} comparisons held."
        gates = [row.gate for row in self.different]
        counts = ", ".join(f"{gates.count(gate)} of {gate}" for gate in dict.fromkeys(gates))
        return f"Different waveform: {len(gates)} of {len(self.rows)} comparisons failed ({counts})."

    def table(self, only_different: bool = False) -> str:
        """The rows as text."""
        rows = [row.cells() for row in (self.different if only_different else self.rows)]
        shown = rows[:_MOST_ROWS] if only_different else rows
        more = f"\n... and {len(rows) - len(shown)} more" if len(rows) > len(shown) else ""
        return text_table(shown, _HEADER, _RIGHT) + more

    def to_mapping(self) -> dict[str, object]:
        """Everything as JSON has it."""
        rows = [{key: json_value(value) for key, value in vars(row).items()} for row in self.rows]
        return {"outcome": "same" if self.is_same else "different", "shift": self.shift, "rows": rows}

    def plot(self) -> Figure:
        """Draw both with the tube; see :func:`gateswing.plot.plot_comparison`."""
        from ..plot.comparison import plot_comparison

        return plot_comparison(self)

    def write(self, folder: str | Path, name: str = "comparison") -> list[Path]:
        """Write table and plot into a folder, which is made; the paths."""
        target = Path(folder)
        target.mkdir(parents=True, exist_ok=True)
        table, picture = target / f"{name}.txt", target / f"{name}.png"
        table.write_text(f"{self.summary()}\n\n{self.table()}\n", encoding="utf-8")
        from matplotlib import pyplot as plt

        figure = self.plot()
        figure.savefig(picture)
        plt.close(figure)
        return [table, picture]

    def __repr__(self) -> str:
        return f"{self.summary()}\n{self.table()}"

    def _repr_html_(self) -> str:
        return html_table([row.cells() for row in self.rows], _HEADER, self.summary())


def compare_waveforms(
    reference: Source | str | Path,
    found: Source | str | Path,
    *,
    channels: Sequence[str] | None = None,
    align: Alignment = "none",
    tolerances: Tolerances | None = None,
) -> Comparison:
    """Compare without judging.

    Args:
        reference: an answer, a waveform, or a file: a reference, a waveform as text, a capture.
        found: the same.
        channels: compared; left out: all of the reference.
        align: event to align on; the shift is a row of its own, with its own gate.
        tolerances: how far is the same.

    Raises:
        InputError: a file or a channel is missing, or an event to align on.
    """
    gates = tolerances or Tolerances()
    known_source = _read(reference)
    known = record_of(known_source, channels)
    _require_channels(known.waveform, channels)
    names = [name for name in known.waveform.units if channels is None or name in channels]
    source = _read(found)
    record = record_of(source, _shared(names, source))
    half_time = max(gates.tube_time, gates.tube_time_share * known.transition)
    half_values = {name: _half_value(known.waveform, name, gates) for name in names}
    event, seen = (find_event(_waveform_of(one), align) for one in (known_source, source))
    shift = seen.time - event.time
    rows = [
        *_invariants(known, record, names, gates),
        *_figures(known, record, names, gates, half_time, shift),
    ]
    if align != "none":
        rows.append(
            ComparisonRow(
                "shape", f"shift, {event.definition}", "s", event.time, seen.time, shift, gates.shift
            )
        )
    else:
        rows += _ends(known.waveform, record.waveform, half_time)
    rows += _shape(known, record, half_time, half_values, shift)
    return Comparison(tuple(rows), known, record, shift, half_time, half_values)


def assert_waveform_close(
    reference: Source | str | Path,
    found: Source | str | Path,
    *,
    channels: Sequence[str] | None = None,
    align: Alignment = "none",
    tolerances: Tolerances | None = None,
    artefacts: str | Path | None = None,
) -> Comparison:
    """Compare, and fail with a table of what differs.

    Args:
        reference: as in :func:`compare_waveforms`.
        found: as in :func:`compare_waveforms`.
        channels: as in :func:`compare_waveforms`.
        align: as in :func:`compare_waveforms`.
        tolerances: as in :func:`compare_waveforms`.
        artefacts: folder for the table and a plot with the tube, written on failure.

    Raises:
        WaveformMismatchError: an AssertionError with the table.
        InputError: as :func:`compare_waveforms`.
    """
    __tracebackhide__ = True  # of pytest, which shows the caller's line then and not these
    comparison = compare_waveforms(reference, found, channels=channels, align=align, tolerances=tolerances)
    if comparison.is_same:
        return comparison
    where = ""
    if artefacts is not None:
        written = comparison.write(artefacts)
        where = "\n" + "\n".join(f"see {path}" for path in written)
    raise WaveformMismatchError(comparison, where)


def _read(source: Source | str | Path) -> Source:
    return read_waveform_file(source) if isinstance(source, str | Path) else source


def _waveform_of(source: Source) -> Waveform:
    return source if isinstance(source, Waveform) else source.waveform


def _shared(names: Sequence[str], found: Source) -> list[str] | None:
    if isinstance(found, Record):
        return None
    known = _waveform_of(found).units
    shared = [name for name in names if name in known]
    if not shared:
        raise InputError([_nothing_shared(names, list(known))])
    return shared


def _require_channels(reference: Waveform, wanted: Sequence[str] | None) -> None:
    unknown = [name for name in wanted or () if name not in reference.units]
    if unknown:
        reason, known = "not in the reference.", ", ".join(reference.units)
        raise InputError(
            InputProblem("channels", repr(name), reason, known, did_you_mean(name, reference.units))
            for name in unknown
        )


def _nothing_shared(wanted: Sequence[str], given: Sequence[str]) -> InputProblem:
    """With how to name the columns of whichever is a capture as it comes."""
    are_channels = any(name.startswith(("v_", "i_")) for name in wanted)
    channel, column = (wanted[0], given[0]) if are_channels else (given[0], wanted[0])
    hint = f"Name the columns of a capture: read_capture(channels={{{channel!r}: {column!r}}})."
    reason = f"none of {', '.join(given)} is in the reference, which has {', '.join(wanted)}."
    return InputProblem("channels", None, reason, hint=hint)


def _half_value(waveform: Waveform, channel: str, gates: Tolerances) -> float:
    return max(gates.tube_value * float(np.ptp(waveform.values(channel))), gates.least_value)


def _invariants(
    known: Record, record: Record, names: Sequence[str], gates: Tolerances
) -> Iterator[ComparisonRow]:
    """Every channel is there in its unit, and the simulation's own books balance."""
    for name in names:
        same = record.waveform.units.get(name) == known.waveform.units[name]
        found = 1.0 if same else math.nan
        yield ComparisonRow(
            "invariant", f"{name} in {known.waveform.units[name]}", "", 1.0, found, found - 1.0, 0.0
        )
    for name, value in record.residuals.items():
        reference = known.residuals.get(name, 0.0)
        yield ComparisonRow("invariant", f"{name} residual", "", reference, value, value, gates.residual)


def _figures(
    known: Record, record: Record, names: Sequence[str], gates: Tolerances, half_time: float, shift: float
) -> Iterator[ComparisonRow]:
    """Every figure of the reference; those of edges only where both sides read them the same way."""
    for name, (value, unit) in known.figures.items():
        owner = name.partition(".")[0]
        is_channel = owner in known.waveform.units
        # Of a channel that is not there, its invariant says so once.
        if is_channel and (owner not in names or owner not in record.waveform.units):
            continue
        if not is_channel and not any(other.startswith(f"{owner}.") for other in record.figures):
            continue
        found = record.figures[name].value if name in record.figures else math.nan
        if name.endswith("_time") and is_channel and "after_edge" not in name:
            found -= shift
            allowed = half_time + _flatness(known.waveform, owner, value, gates)
        elif is_channel and unit == known.waveform.units[owner]:
            allowed = _half_value(known.waveform, owner, gates)
        else:
            allowed = gates.of_figure(name, unit, value)
        yield ComparisonRow("figure", name, unit, value, found, found - value, allowed)


def _flatness(waveform: Waveform, channel: str, time: float, gates: Tolerances) -> float:
    """How long the channel stays within the tube around an extreme [s]: so uncertain is its time."""
    times = waveform.times
    values = waveform.values(channel)
    extreme = waveform.value(channel, min(max(time, waveform.begin), waveform.end))
    near = times[np.abs(values - extreme) <= 2.0 * _half_value(waveform, channel, gates)]
    return float(np.ptp(near)) if len(near) else 0.0


def _ends(known: Waveform, found: Waveform, half_time: float) -> Iterator[ComparisonRow]:
    for name, one, other in (("begin", known.begin, found.begin), ("end", known.end, found.end)):
        yield ComparisonRow("shape", f"record's {name}", "s", one, other, other - one, half_time)


def _shape(
    known: Record, record: Record, half_time: float, half_values: Mapping[str, float], shift: float
) -> Iterator[ComparisonRow]:
    for name, half_value in half_values.items():
        if name not in record.waveform.units:
            continue
        for part in known.parts:
            for begin, end, title in _stretches(known, part, name, half_value):
                found = excess(
                    known.waveform, record.waveform, name, (begin, end), (half_time, half_value), shift
                )
                unit, nothing = known.waveform.units[name], math.nan
                yield ComparisonRow(
                    "shape", f"{name}, {title}", unit, nothing, nothing, found.worst, half_value,
                    found.first_time,
                )  # fmt: skip


def _stretches(
    known: Record, part: Part, channel: str, half_value: float
) -> Iterator[tuple[float, float, str]]:
    """The part, without the time in which a ring is larger than the tube is wide: figures stand for that."""
    if not part.name.endswith("after"):
        yield part.begin, part.end, part.name
        return
    index = part.name.split(",")[0].split()[-1]
    prefix = f"{channel}.after_edge_{index}."
    amplitude, decay = (
        known.figures.get(f"{prefix}{name}") for name in ("ring_amplitude", "ring_decay_time")
    )
    if amplitude is None or decay is None or amplitude.value <= half_value:
        yield part.begin, part.end, part.name.replace("after", "settled")
        return
    settled = part.begin + decay.value * math.log(amplitude.value / half_value)
    if settled < part.end:
        yield settled, part.end, part.name.replace("after", "settled")
