"""A waveform against its reference: what must hold, then the figures, then the shape.

Shape alone is a poor judge: a ring that is 1 % slower is out of phase after tens of cycles, and a spike
narrower than the tube does not show. So a ring of some cycles is compared by frequency, decay and amplitude,
and only what comes before and after it by the tube; and the extremes of every channel are figures.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from ..errors import InputError, InputProblem, did_you_mean
from ..figures import json_value
from ..studies.results import DoublePulse
from ..tables import html_table, text_table
from ..waveforms.alignment import Alignment, find_event
from ..waveforms.waveform import Waveform
from .record import Record, record_of
from .reference_file import read_waveform_file
from .rows import ComparisonRow, Gates, compared
from .tolerances import Tolerances

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
    wanted = tolerances or Tolerances()
    known_source, source = _read(reference), _read(found)
    _require_channels(_waveform_of(known_source), channels)
    known = record_of(known_source, channels)
    names = list(known.waveform.units)
    record = record_of(source, _shared(names, source))
    event, seen = (find_event(_waveform_of(one), align) for one in (known_source, source))
    gates = Gates(
        wanted,
        max(wanted.tube_time, wanted.tube_time_share * known.transition),
        {name: _half_value(known.waveform, name, wanted) for name in names},
        seen.time - event.time,
        is_aligned=align != "none",
    )
    rows = list(compared(known, record, gates))
    if gates.is_aligned:
        title = f"shift, {event.definition}"
        row = ComparisonRow("shape", title, "s", event.time, seen.time, gates.shift, wanted.shift)
        rows.append(row)
    return Comparison(tuple(rows), known, record, gates.shift, gates.half_time, gates.half_values)


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


def _half_value(waveform: Waveform, channel: str, tolerances: Tolerances) -> float:
    return max(tolerances.tube_value * float(np.ptp(waveform.values(channel))), tolerances.least_value)
