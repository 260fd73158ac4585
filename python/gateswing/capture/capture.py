"""A capture: samples of an instrument over time, and what is done to them before they are measured."""

from __future__ import annotations

import dataclasses
import difflib
import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from ..errors import InputError, InputProblem, did_you_mean, shown
from ..figures import format_figure
from ..model import Model, Quantity, argument, at_least, positive
from ..quantities import Interval
from ..waveforms.waveform import Waveform
from .heading import unit_of
from .quality import noise_of
from .report import ImportReport, Understood
from .resampling import moved_earlier

__all__ = ["Capture", "Trace"]

Floats = NDArray[np.float64]

_ANY = Interval(-1e12, 1e12)
_TIME = Quantity("s", "A time on the axis of the capture.", allowed=Interval(-1e6, 1e6))
_WIDTH = Quantity("s", "Stretch that is smoothed over.", allowed=positive(1.0))
# What the beginning of a channel's name says that it is.
_KINDS = {"v_": ("V", "a voltage"), "i_": ("A", "a current")}
# Names that measures look for; others are the caller's own.
_MEASURED = ("v_gs_pin", "v_ds_pin", "i_d", "v_gs", "v_ds")
_LEAST_SMOOTHED = 5  # samples
_MISSPELT = 0.85  # likeness from which a name is taken for a misspelt one, not for another


class Trace(Model):
    """Which column a channel is, and how its numbers become volts or amperes.

    value(t) = unit * scale * column(t + delay) - offset, the scale negative with ``invert``.
    """

    column: str
    unit: Annotated[
        str | None,
        Field(
            description="That the scaled numbers are in, such as mV. Left out: that of the column, whose "
            "numbers are in volts or amperes wherever the file has its unit."
        ),
    ] = None
    scale: Annotated[float, Quantity("", "Factor, for example 10 for a probe not set in.", allowed=_ANY)] = (
        1.0
    )
    invert: bool = False
    delay: Annotated[
        float,
        Quantity(
            "s", "By which the trace is late.", allowed=at_least(-1e-3, 1e-3), usual=at_least(-1e-7, 1e-7)
        ),
    ] = 0.0
    offset: Annotated[float, Quantity("", "In the unit of the channel, subtracted.", allowed=_ANY)] = 0.0


@dataclass(frozen=True, repr=False)
class Capture:
    """Samples of one or more channels at common times.

    Attributes:
        times: [s], shape (samples,), all segments behind each other; they increase in each.
        values: of each channel by name, shape (samples,); NaN where the instrument could not convert.
        units: of each channel; empty where neither the file nor the caller names one.
        starts: index of the first sample of each segment.
        settings: of the instrument, as the file states them.
        report: what the import understood.
    """

    times: Floats
    values: Mapping[str, Floats]
    units: Mapping[str, str]
    starts: tuple[int, ...]
    settings: Mapping[str, str]
    report: ImportReport

    @property
    def segments(self) -> int:
        """Number of records without a gap."""
        return len(self.starts)

    def noise(self, channel: str) -> float:
        """Standard deviation of the noise of a channel from sample to sample, in its unit.

        Raises:
            InputError: there is no such channel.
        """
        return noise_of(self._values(channel))

    def mapped(self, channels: Mapping[str, str | Trace]) -> Capture:
        """Name the channels as the model does, and bring them to scale.

        Args:
            channels: name such as ``v_gs_pin``, ``v_ds_pin``, ``i_d`` to column, or to a :class:`Trace`.
                Columns that are not named are left out.

        Raises:
            InputError: there is no such column, its unit is not that of a voltage ``v_...`` or a current
                ``i_...``, a name is nearly that of a channel that is measured, or delays leave no samples.
        """
        traces = {name: Trace(column=one) if isinstance(one, str) else one for name, one in channels.items()}
        problems = [
            problem
            for name, trace in traces.items()
            for problem in (*_misspelt(name), *self._trace_problems(name, trace))
        ]
        if problems or not traces:
            raise InputError(problems or [InputProblem("channels", "{}", "names no channel.")])
        mapped = [self._mapped_segment(piece, traces) for piece in self._slices()]
        parts = [part for part in mapped if len(part[0])]
        if not parts:
            longest = max(float(np.ptp(self.times[piece])) for piece in self._slices())
            raise InputError([_too_late(traces, longest)])
        values = {name: np.concatenate([part[1][name] for part in parts]) for name in traces}
        lengths = [len(part[0]) for part in parts]
        return dataclasses.replace(
            self,
            times=np.concatenate([part[0] for part in parts]),
            values=values,
            units={name: self._unit(name, trace)[0] for name, trace in traces.items()},
            starts=tuple(int(one) for one in np.cumsum([0, *lengths[:-1]])),
            report=self._report_of(traces, len(mapped) - len(parts)),
        )

    def zeroed(self, channel: str, begin: float | str, end: float | str) -> Capture:
        """Subtract the mean over a stretch [s] in which the channel is known to be zero.

        Samples that the instrument could not convert are left out of the mean.

        Raises:
            InputError: there is no such channel, or no converted sample in the stretch.
        """
        inside = self._inside(begin, end)
        values = self._values(channel)
        converted = values[inside & np.isfinite(values)]
        if len(converted) == 0:
            raise _overload(channel, self.times[inside], True, f" from {begin} to {end}")
        baseline = float(np.mean(converted))
        return dataclasses.replace(self, values={**self.values, channel: values - baseline})

    def between(self, begin: float | str, end: float | str) -> Capture:
        """The samples from `begin` to `end` [s].

        Raises:
            InputError: there is none.
        """
        inside = self._inside(begin, end)
        counts = [int(np.count_nonzero(inside[piece])) for piece in self._slices()]
        starts = np.cumsum([0, *[count for count in counts if count][:-1]])
        return dataclasses.replace(
            self,
            times=self.times[inside],
            values={name: values[inside] for name, values in self.values.items()},
            starts=tuple(int(one) for one in starts),
        )

    def smoothed(self, width: float | str) -> Capture:
        """Less noise, for slopes and levels: a cubic through each stretch of `width` [s], by least squares.

        Savitzky and Golay, Analytical Chemistry 36(8), 1627-1639 (1964). Edges do not move; peaks narrower
        than the width get lower. The samples must be evenly spaced, as far as the widths go. What lies
        between samples that could not be converted is smoothed by itself; fewer than five stay as they are.

        Raises:
            InputError: the width, or a segment, holds fewer than five samples.
        """
        wanted = argument("width", width, _WIDTH)
        for place, piece in enumerate(self._slices()):
            if piece.stop - piece.start < _LEAST_SMOOTHED:
                reason = f"has {piece.stop - piece.start} samples."
                raise InputError([InputProblem("segment", repr(str(place)), reason, "five samples or more")])
        interval = float(np.median(np.diff(self.times)))
        count = 2 * int(wanted / interval / 2) + 1
        if count < _LEAST_SMOOTHED:
            reason = f"holds {count} samples of {format_figure(interval, 's')}."
            raise InputError([InputProblem("width", repr(width), reason, "five samples or more")])
        values = {
            name: np.concatenate([_smoothed(one[piece], count) for piece in self._slices()])
            for name, one in self.values.items()
        }
        return dataclasses.replace(self, values=values)

    def waveform(self, segment: int | None = None, bridge_overload: bool = False) -> Waveform:
        """The channels as straight lines between samples, for every measure of the model.

        Args:
            segment: which one, counted from 0; needed where there are several.
            bridge_overload: draw straight lines across samples that the instrument could not convert. Peaks
                there mean nothing.

        Raises:
            InputError: no such segment, fewer than two samples, or samples that could not be converted.
        """
        piece = self._segment(segment)
        times = self.times[piece]
        values = {name: one[piece] for name, one in self.values.items()}
        for name, one in values.items():
            lost = ~np.isfinite(one)
            if not lost.any():
                continue
            if not bridge_overload or lost.all():
                raise _overload(name, times[lost], bool(lost.all()))
            values[name] = np.interp(times, times[~lost], one[~lost])
        return Waveform.from_samples(times, values, self.units)

    def _report_of(self, traces: Mapping[str, Trace], lost: int) -> ImportReport:
        """With what each channel is, and notes for a column that is two of them, and for lost segments."""
        taken = "; ".join(_formula(name, trace) for name, trace in traces.items())
        decision = Understood("taken as", taken, "given", "channels=")
        columns = [trace.column for trace in traces.values()]
        notes = [
            f"{column} is taken for {columns.count(column)} channels."
            for column in dict.fromkeys(columns)
            if columns.count(column) > 1
        ]
        if lost:
            notes.append(f"{lost} segment{'s'[: lost > 1]} shorter than the delays left out.")
        return ImportReport((*self.report.decisions, decision), (*self.report.notes, *notes))

    def _trace_problems(self, name: str, trace: object) -> list[InputProblem]:
        path = f"channels.{name}"
        if not isinstance(trace, Trace):
            return [InputProblem(path, shown(trace), "neither the name of a column nor a Trace.")]
        if trace.column not in self.values:
            known = ", ".join(self.values)
            # With its unit, as it stands in the file.
            bare = re.sub(r"\s*[(\[][^)\]]*[)\]]$", "", trace.column)
            hint = did_you_mean(bare, self.values)
            return [InputProblem(path, repr(trace.column), "no such column in the file.", known, hint)]
        unit = self.units[trace.column]
        wanted, what = _KINDS.get(name[:2], ("", ""))
        reason = hint = ""
        asked, factor = self._unit(name, trace)
        if factor != 1.0 and (unit_of(unit) or ("",))[0] == asked:
            reason = f"column {trace.column!r} is in {asked} already, since its file says its unit."
            hint = "Leave the unit out, or give a scale."
        elif wanted and asked != wanted:
            is_in = f"is in {unit}" if unit else "is without a unit"
            reason = f"{what}, but column {trace.column!r} {is_in}."
            if trace.unit:
                reason = f"{what}, but its unit is to be {trace.unit!r}."
            fields = f"column={trace.column!r}, scale=10, unit={wanted!r}"
            hint = f"If 1 in it is 10 {wanted}, give Trace({fields})."
        return [InputProblem(path, repr(trace.column), reason, hint=hint)] if reason else []

    def _unit(self, name: str, trace: Trace) -> tuple[str, float]:
        """SI unit and factor: of the trace, else of the column; a voltage may be without a unit.

        Amperes are never guessed.
        """
        if trace.unit:
            return unit_of(trace.unit) or (trace.unit, 1.0)
        found = self.units[trace.column]
        return found or ("V" if name.startswith("v_") else ""), 1.0

    def _mapped_segment(self, piece: slice, traces: Mapping[str, Trace]) -> tuple[Floats, dict[str, Floats]]:
        times = self.times[piece]
        begin = times[0] - min(0.0, *(trace.delay for trace in traces.values()))
        end = times[-1] - max(0.0, *(trace.delay for trace in traces.values()))
        kept = times[(times >= begin) & (times <= end)]
        values = {}
        for name, trace in traces.items():
            raw = self.values[trace.column][piece]
            if trace.delay:
                raw = moved_earlier(times, raw, trace.delay)
            moved = raw[(times >= begin) & (times <= end)]
            scale = self._unit(name, trace)[1] * (-trace.scale if trace.invert else trace.scale)
            values[name] = scale * moved - trace.offset
        return kept, values

    def _values(self, channel: str) -> Floats:
        if channel not in self.values:
            known, hint = ", ".join(self.values), did_you_mean(channel, self.values)
            raise InputError([InputProblem("channel", repr(channel), "no such channel.", known, hint)])
        return self.values[channel]

    def _inside(self, begin: float | str, end: float | str) -> NDArray[np.bool_]:
        first, last = argument("begin", begin, _TIME), argument("end", end, _TIME)
        inside: NDArray[np.bool_] = (self.times >= first) & (self.times <= last)
        if not inside.any():
            allowed = f"{self.times.min():g} s to {self.times.max():g} s"
            raise InputError(
                [InputProblem("begin, end", f"{begin}, {end}", "no sample in between.", allowed)]
            )
        return inside

    def _slices(self) -> list[slice]:
        return [slice(*ends) for ends in zip(self.starts, (*self.starts[1:], len(self.times)), strict=True)]

    def _segment(self, segment: int | None) -> slice:
        if segment is None and self.segments > 1:
            reason = f"needed: there are {self.segments} segments."
            raise InputError([InputProblem("segment", None, reason, f"0 to {self.segments - 1}")])
        index = segment or 0
        if not 0 <= index < self.segments:
            raise InputError(
                [InputProblem("segment", str(segment), "no such segment.", f"0 to {self.segments - 1}")]
            )
        piece = self._slices()[index]
        if piece.stop - piece.start < 2:
            raise InputError([InputProblem("segment", str(index), "has fewer than two samples.")])
        return piece

    def __repr__(self) -> str:
        names = ", ".join(f"{name} [{self.units[name] or '?'}]" for name in self.values)
        parts = f" in {self.segments} segments" if self.segments > 1 else ""
        span = f"from {self.times[0]:g} s to {self.times[-1]:g} s"
        return f"Capture {span}, {len(self.times)} samples{parts}: {names}\n\n{self.report!r}"

    def _repr_html_(self) -> str:
        return self.report._repr_html_()


def _misspelt(name: str) -> list[InputProblem]:
    """A name that is nearly one that is measured, and no longer one that begins with it."""
    plain = {_bare(one): one for one in _MEASURED}
    found = plain.get(_bare(name))
    is_longer = any(name.startswith(one) for one in _MEASURED[:3])
    # Short names are all alike.
    if found is None and not is_longer and len(name) >= len("v_gs_p"):
        close = difflib.get_close_matches(name.lower(), _MEASURED, 1, _MISSPELT)
        found = next((one for one in close if _is_slip(_bare(name), _bare(one))), None)
    if found is None or found == name:
        return []
    return [InputProblem(f"channels.{name}", None, "no channel.", hint=f"Did you mean {found!r}?")]


def _bare(name: str) -> str:
    return re.sub(r"[_\s]", "", name.lower())


def _is_slip(given: str, meant: str) -> bool:
    """Letters are missing, too many or swapped behind the subscript.

    With another kind, subscript or letter it is a name of the caller's own: i_gs_pin, v_gd_pin, v_ds_min.
    """
    less, more = Counter(given), Counter(meant)
    return given[:3] == meant[:3] and (less <= more or less >= more)


def _formula(name: str, trace: Trace) -> str:
    """What becomes of a column, in a few words."""
    scale = -trace.scale if trace.invert else trace.scale
    unit = f" {trace.unit}" if trace.unit else ""
    text = f"{name} = {trace.column}"
    if scale != 1.0 or unit:
        text += f" x {scale:g}{unit}"
    if trace.offset:
        text += f" - {trace.offset:g}"
    if trace.delay:
        later = "earlier" if trace.delay > 0.0 else "later"
        text += f", {format_figure(abs(trace.delay), 's')} {later}"
    return text


def _smoothed(values: Floats, count: int) -> Floats:
    """Each stretch of converted samples by itself, over `count` of them or as many as there are."""
    from scipy.signal import savgol_filter  # type: ignore[import-untyped]

    smooth = values.copy()
    edges = np.flatnonzero(np.diff(np.isfinite(values), prepend=False, append=False))
    for begin, end in edges.reshape(-1, 2):
        length = int(end - begin)
        if length >= _LEAST_SMOOTHED:
            width = min(count, length if length % 2 else length - 1)
            smooth[begin:end] = savgol_filter(values[begin:end], width, 3)
    return smooth


def _too_late(traces: Mapping[str, Trace], longest: float) -> InputProblem:
    delays = ", ".join(f"{name} {format_figure(one.delay, 's')}" for name, one in traces.items() if one.delay)
    reason = f"leave no sample of a record of {format_figure(longest, 's')}."
    return InputProblem("delays", delays, reason, hint="Is a unit missing, such as 'ns'?")


def _overload(name: str, times: Floats, everywhere: bool, stretch: str = "") -> InputError:
    where = f"all samples{stretch}" if everywhere else f"{len(times)} samples, the first at {times[0]:g} s,"
    hint = "Widen the instrument's range; or cut them off by between(), or waveform(bridge_overload=True)."
    if stretch:
        hint = "Choose another stretch."
    return InputError([InputProblem(name, None, f"{where} could not be converted (overload).", hint=hint)])
