"""A capture laid over the prediction: aligned on an event, with the shift and the residual reported."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..errors import InputError, InputProblem
from ..figures import format_figure
from ..tables import html_table, text_table
from ..waveforms.alignment import UNALIGNED, Alignment, find_event, shifted
from ..waveforms.waveform import Waveform
from ..waveforms.window import TimeWindow, inside

if TYPE_CHECKING:
    from matplotlib.figure import Figure

__all__ = ["Overlay", "Residual", "overlay"]

_HEADER = ("measured less model", "rms", "rms over swing", "largest", "at")
_RIGHT = frozenset({1, 2, 3, 4})


@dataclass(frozen=True)
class Residual:
    """Measured less model of one channel, over the time that both show.

    Attributes:
        channel: its name.
        unit: of the channel.
        rms: root of the mean square over time.
        swing: range of the model, which the residual is to be seen against.
        largest: of largest magnitude, with its sign.
        time: of that [s].
    """

    channel: str
    unit: str
    rms: float
    swing: float
    largest: float
    time: float

    def cells(self) -> tuple[str, ...]:
        """The residual as a row of a table."""
        return (
            self.channel,
            format_figure(self.rms, self.unit, 3),
            format_figure(self.rms / self.swing if self.swing else 0.0, "%", 3),
            format_figure(self.largest, self.unit, 3),
            format_figure(self.time, "s"),
        )


@dataclass(frozen=True, repr=False)
class Overlay:
    """Model and capture on the time axis of the model.

    Attributes:
        model: as given.
        measured: moved by -shift.
        shift: by which the event is later in the capture than in the model, each on its own time axis [s].
        event: that both were aligned on, as the beginning of a sentence.
        begin, end: of the time that both show [s].
        residuals: of each channel.
    """

    model: Waveform
    measured: Waveform
    shift: float
    event: str
    begin: float
    end: float
    residuals: tuple[Residual, ...]

    @property
    def channels(self) -> tuple[str, ...]:
        """Compared."""
        return tuple(residual.channel for residual in self.residuals)

    def residual(self, channel: str) -> Waveform:
        """Measured less model over time, straight lines between the nodes of both.

        Raises:
            ValueError: there is no such channel.
        """
        times = _common_times(self.model, self.measured, self.begin, self.end)
        values = self.measured.value(channel, times) - self.model.value(channel, times)
        return Waveform.from_samples(times, {channel: values}, self.model.units)

    def plot(self) -> Figure:
        """Draw both with the residual below; see :func:`gateswing.plot.plot_overlay`."""
        from ..plot.overlays import plot_overlay

        return plot_overlay(self)

    def sentence(self) -> str:
        """By how much the capture was moved, and why, in words."""
        if self.event == UNALIGNED:
            return "The times of model and capture are left as they are."
        shift = format_figure(abs(self.shift), "s", 3)
        later, back = ("later", "earlier") if self.shift >= 0.0 else ("earlier", "later")
        return (
            f"{self.event} {shift} {later} in the capture than in the model, each by its own clock; "
            f"the capture is shown {shift} {back}, so that the two meet there."
        )

    def __repr__(self) -> str:
        table = text_table([one.cells() for one in self.residuals], _HEADER, _RIGHT)
        return f"Overlay. {self.sentence()}\n{table}"

    def _repr_html_(self) -> str:
        return html_table([one.cells() for one in self.residuals], _HEADER, f"Overlay. {self.sentence()}")


def overlay(
    model: Waveform,
    measured: Waveform,
    *,
    align: Alignment = "gate",
    edge: int = 0,
    channels: Sequence[str] | None = None,
    window: TimeWindow | None = None,
) -> Overlay:
    """Lay a capture over a simulation.

    Args:
        model: the simulation, best as a probe would show it (:meth:`gateswing.Probe.seen`).
        measured: the capture.
        align: ``gate``: v_GS has gone a quarter of its step; ``drain``: v_DS is steepest; ``none``: time as
            it is.
        edge: which step of the gate is the event, counted from 0.
        channels: compared; left out: all that both have.
        window: begin and end [s] on the time axis of the model; left out: all that both show.

    Raises:
        InputError: an event or a channel is missing, the edge is no whole number, or there is no time that
            both show.
    """
    names = (
        list(channels) if channels is not None else [name for name in model.units if name in measured.units]
    )
    missing = [name for name in names if name not in model.units or name not in measured.units]
    if missing or not names:
        reason = "not in both waveforms." if missing else "no channel is in both waveforms."
        raise InputError([InputProblem("channels", ", ".join(missing) or None, reason)])
    event, seen = find_event(model, align, edge), find_event(measured, align, edge)
    shift = seen.time - event.time
    moved = shifted(measured, -shift)
    first, last = max(model.begin, moved.begin), min(model.end, moved.end)
    begin, end = inside(window, first, last, "not shown by both.")
    times = _common_times(model, moved, begin, end)
    rows = tuple(_residual(model, moved, name, times) for name in names)
    return Overlay(model, moved, shift, event.definition, begin, end, rows)


def _common_times(model: Waveform, measured: Waveform, begin: float, end: float) -> NDArray[np.float64]:
    """Nodes of both inside, and the ends; nearly equal ones once."""
    every = np.unique(np.concatenate([model.times, measured.times, [begin, end]]))
    inside = every[(every >= begin) & (every <= end)]
    least = 1e-9 * (end - begin)
    kept = inside[np.append(True, np.diff(inside) > least)]
    return np.asarray(kept)


def _residual(model: Waveform, measured: Waveform, channel: str, times: NDArray[np.float64]) -> Residual:
    expected = model.value(channel, times)
    values = measured.value(channel, times) - expected
    mean_squares = 0.5 * (values[1:] ** 2 + values[:-1] ** 2)
    squares = (mean_squares * np.diff(times)).sum() / (times[-1] - times[0])
    worst = int(np.argmax(np.abs(values)))
    return Residual(
        channel, model.units[channel], float(np.sqrt(squares)), float(np.ptp(expected)), float(values[worst]),
        float(times[worst]),
    )  # fmt: skip
