"""A waveform and the tube around its reference."""

from __future__ import annotations

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.figure import Figure
from matplotlib.ticker import EngFormatter

from ..figures import format_figure
from ..testing.comparison import Comparison
from ..testing.tube import tube
from .style import BAND, BLUE, VERMILLION, look

__all__ = ["plot_comparison"]

_MOST_PANELS = 6
# Shown around the first difference, at least.
_TRANSITIONS, _HALF_TIMES = 5.0, 60.0


def plot_comparison(result: Comparison) -> Figure:
    """The channels that differ, or the first ones, with the tube around the reference.

    Args:
        result: of :func:`gateswing.testing.compare_waveforms`.

    Returns:
        The figure.
    """
    waveform = result.reference.waveform
    channels = [name for name in result.half_values if name in result.found.waveform.units]
    different = {row.name.split(",")[0].split(".")[0] for row in result.different}
    shown = ([name for name in channels if name in different] or channels)[:_MOST_PANELS]
    with look():
        figure, axes = plt.subplots(len(shown), 1, squeeze=False, figsize=(9.0, 1.2 + 2.3 * len(shown)))
        for panel, name in zip(axes[:, 0], shown, strict=True):
            begin, end, title = _window(result, name)
            band = tube(waveform, name, begin, end, result.half_time, result.half_values[name])
            found = result.found.waveform
            times = np.clip(band.times + result.shift, found.begin, found.end)
            panel.fill_between(band.times, band.low, band.high, color=BAND[0], lw=0, label="tube")
            panel.plot(band.times, waveform.value(name, band.times), color=BLUE, lw=1.2, label="reference")
            panel.plot(band.times, found.value(name, times), color=VERMILLION, lw=1.0, label="found")
            panel.set_ylabel(f"{name} ({waveform.units[name]})")
            panel.set_title(title, fontsize=8.5, weight="normal", pad=3)
            panel.set_xlim(begin, end)
            panel.xaxis.set_major_formatter(EngFormatter(unit="s", sep=" "))
        axes[0, 0].legend(loc="best", frameon=False)
        axes[-1, 0].set_xlabel("time of the reference")
        figure.suptitle(result.summary(), x=0.01, ha="left", fontweight="bold", fontsize=10)
        return figure


def _window(result: Comparison, channel: str) -> tuple[float, float, str]:
    """Where the channel first leaves the tube; the whole record if it does not."""
    waveform = result.reference.waveform
    rows = [row for row in result.different if row.name.startswith(f"{channel},")]
    if not rows:
        return waveform.begin, waveform.end, "inside the tube"
    first = min(rows, key=lambda row: row.first_time)
    length = max(_TRANSITIONS * result.reference.transition, _HALF_TIMES * result.half_time)
    begin, end = first.first_time - 0.3 * length, first.first_time + 0.7 * length
    title = f"{first.name}: outside from {format_figure(first.first_time, 's', 5)} on"
    return max(begin, waveform.begin), min(end, waveform.end), title
