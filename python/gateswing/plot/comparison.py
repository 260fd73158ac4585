"""A waveform and the tube around its reference."""

from __future__ import annotations

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.figure import Figure
from matplotlib.ticker import EngFormatter

from ..testing.comparison import Comparison
from ..testing.tube import tube
from .style import BAND, BLUE, VERMILLION, look

__all__ = ["plot_comparison"]

_MOST_PANELS = 6


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
        figure, axes = plt.subplots(
            len(shown), 1, sharex=True, squeeze=False, figsize=(9.0, 1.2 + 2.0 * len(shown))
        )
        for panel, name in zip(axes[:, 0], shown, strict=True):
            band = tube(
                waveform, name, waveform.begin, waveform.end, result.half_time, result.half_values[name]
            )
            panel.fill_between(band.times, band.low, band.high, color=BAND[0], lw=0, label="tube")
            panel.plot(band.times, waveform.value(name, band.times), color=BLUE, lw=1.2, label="reference")
            found = result.found.waveform
            times = np.linspace(found.begin, found.end, len(band.times))
            panel.plot(
                times - result.shift, found.value(name, times), color=VERMILLION, lw=1.0, label="found"
            )
            panel.set_ylabel(f"{name} ({waveform.units[name]})")
            for row in result.different:
                if row.name.startswith(f"{name},") and np.isfinite(row.first_time):
                    panel.axvline(row.first_time, color=VERMILLION, lw=0.8, ls=":")
        axes[0, 0].legend(loc="best", frameon=False)
        axes[-1, 0].xaxis.set_major_formatter(EngFormatter(unit="s", sep=" "))
        axes[-1, 0].set_xlabel("time of the reference")
        figure.suptitle(result.summary(), x=0.01, ha="left", fontweight="bold", fontsize=10)
        return figure
