"""What is compared of two records, a row each: what must hold, then the figures, then the shape."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from ..figures import format_figure
from ..waveforms.waveform import Waveform
from .after_edge import RingFigures, ring_after
from .record import Part, Record
from .tolerances import Tolerances
from .tube import excess

__all__ = ["ComparisonRow", "Gates", "compared"]

# A ring that is above the tube for fewer cycles is compared by the tube: they are too few to lose its phase,
# or to tell frequency and decay from a noisy record of it.
_LEAST_CYCLES = 3.0
_NO_RING = RingFigures(*[math.nan] * len(RingFigures._fields))


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


@dataclass(frozen=True)
class Gates:
    """Widths of a comparison.

    Attributes:
        tolerances: as they were given.
        half_time: half width of the tube along time [s].
        half_values: half width along the value of each channel that is compared.
        shift: by which events of the found one are later [s].
        is_aligned: whether that is to be taken off.
    """

    tolerances: Tolerances
    half_time: float
    half_values: Mapping[str, float]
    shift: float
    is_aligned: bool


def compared(known: Record, record: Record, gates: Gates) -> Iterator[ComparisonRow]:
    """All rows but that of the shift."""
    yield from _invariants(known, record, gates)
    yield from _figures(known, record, gates)
    yield from _rings(known, record, gates)
    yield from _ends(known.waveform, record.waveform, gates)
    yield from _shape(known, record, gates)


def _invariants(known: Record, record: Record, gates: Gates) -> Iterator[ComparisonRow]:
    """Every channel is there in its unit, and the simulation's own books balance."""
    for name in gates.half_values:
        same = record.waveform.units.get(name) == known.waveform.units[name]
        found = 1.0 if same else math.nan
        yield ComparisonRow(
            "invariant", f"{name} in {known.waveform.units[name]}", "", 1.0, found, found - 1.0, 0.0
        )
    for name, value in record.residuals.items():
        reference = known.residuals.get(name, 0.0)
        yield ComparisonRow(
            "invariant", f"{name} residual", "", reference, value, value, gates.tolerances.residual
        )


def _figures(known: Record, record: Record, gates: Gates) -> Iterator[ComparisonRow]:
    """Every figure of the reference but rings; those of edges where both sides read them the same way."""
    for name, (value, unit) in known.figures.items():
        channel = known.channel_of(name)
        last = name.rpartition(".")[2]
        if channel is None:
            edge = name.partition(".")[0]
            if not any(other.startswith(f"{edge}.") for other in record.figures):
                continue
        # Of a channel that is not there, its invariant says so once.
        elif not _is_in_both(channel, record, gates) or last.startswith("ring_"):
            continue
        found = record.figures[name].value if name in record.figures else math.nan
        allowed = gates.tolerances.own(name, value)
        if channel is not None and last in ("maximum_time", "minimum_time"):
            found -= gates.shift
            if allowed is None:
                allowed = gates.half_time + _flatness(known.waveform, channel, value, gates)
        elif channel is not None and unit == known.waveform.units[channel] and allowed is None:
            allowed = gates.half_values[channel]
        if allowed is None:
            allowed = gates.tolerances.of_figure(name, unit, value)
        yield ComparisonRow("figure", name, unit, value, found, found - value, allowed)


def _is_in_both(channel: str, record: Record, gates: Gates) -> bool:
    return channel in gates.half_values and channel in record.waveform.units


def _rings(known: Record, record: Record, gates: Gates) -> Iterator[ComparisonRow]:
    """Frequency, decay and amplitude of each ring that is no matter of the tube."""
    for channel, half_value in gates.half_values.items():
        if not _is_in_both(channel, record, gates):
            continue
        unit = known.waveform.units[channel]
        for index in (edge for part in known.parts if (edge := _edge_before(part)) is not None):
            ring = _long_ring(known, channel, index, half_value)
            if ring is None:
                continue
            found = ring_after(record.figures, channel, index) or _NO_RING
            for name, of_figure, value, seen, least in (
                ("frequency", "Hz", ring.frequency, found.frequency, 0.0),
                ("decay_time", "s", ring.decay_time, found.decay_time, 0.0),
                # Where that of the reference holds.
                ("amplitude", unit, ring.amplitude, found.amplitude_at(ring.delay), half_value),
            ):
                title = f"{channel}.after_edge_{index}.ring_{name}"
                allowed = gates.tolerances.own(title, value)
                if allowed is None:
                    allowed = gates.tolerances.of_figure(title, of_figure, value) + least
                yield ComparisonRow("figure", title, of_figure, value, seen, seen - value, allowed)


def _edge_before(part: Part) -> int | None:
    """The number of the edge that a part follows, if it follows one."""
    edge, _, title = part.name.partition(", ")
    return int(edge.split()[-1]) if title == "after" else None


def _long_ring(known: Record, channel: str, index: int, half_value: float) -> RingFigures | None:
    ring = ring_after(known.figures, channel, index)
    if ring is None or ring.frequency * ring.time_above(half_value) < _LEAST_CYCLES:
        return None
    return ring


def _flatness(waveform: Waveform, channel: str, time: float, gates: Gates) -> float:
    """How long the channel stays within the tube around an extreme [s]: so uncertain is its time."""
    times = waveform.times
    values = waveform.values(channel)
    extreme = waveform.value(channel, min(max(time, waveform.begin), waveform.end))
    near = times[np.abs(values - extreme) <= 2.0 * gates.half_values[channel]]
    return float(np.ptp(near)) if len(near) else 0.0


def _ends(known: Waveform, found: Waveform, gates: Gates) -> Iterator[ComparisonRow]:
    """Aligned, the found record may be longer, but what it lacks was not compared."""
    shift = gates.shift if gates.is_aligned else 0.0
    for name, one, other, outward in (
        ("begin", known.begin, found.begin - shift, -1.0),
        ("end", known.end, found.end - shift, 1.0),
    ):
        distance = other - one
        if gates.is_aligned and outward * distance > 0.0:
            distance = 0.0
        allowed = max(gates.half_time, gates.tolerances.ends)
        yield ComparisonRow("shape", f"record's {name}", "s", one, other, distance, allowed)


def _shape(known: Record, record: Record, gates: Gates) -> Iterator[ComparisonRow]:
    for name, half_value in gates.half_values.items():
        if not _is_in_both(name, record, gates):
            continue
        for part in known.parts:
            for begin, end, title in _stretches(known, part, name, half_value):
                found = excess(
                    known.waveform, record.waveform, name, (begin, end), (gates.half_time, half_value),
                    gates.shift,
                )  # fmt: skip
                unit, nothing = known.waveform.units[name], math.nan
                yield ComparisonRow(
                    "shape", f"{name}, {title}", unit, nothing, nothing, found.worst, half_value,
                    found.first_time,
                )  # fmt: skip


def _stretches(
    known: Record, part: Part, channel: str, half_value: float
) -> Iterator[tuple[float, float, str]]:
    """The part, without the time in which a long ring is above the tube: figures stand for that."""
    index = _edge_before(part)
    if index is None:
        yield part.begin, part.end, part.name
        return
    ring = _long_ring(known, channel, index, half_value)
    if ring is None:
        yield part.begin, part.end, part.name.replace("after", "settled")
        return
    begins = part.begin + ring.delay
    if ring.delay > 0.0:
        yield part.begin, min(begins, part.end), part.name.replace("after", "before the ring")
    settled = begins + ring.time_above(half_value)
    if settled < part.end:
        yield settled, part.end, part.name.replace("after", "settled")
