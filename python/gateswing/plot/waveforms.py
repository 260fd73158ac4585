"""Chosen channels of a waveform, one panel for each unit."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import EngFormatter

from ..waveforms.decimation import extreme_times
from ..waveforms.waveform import Waveform
from .style import figure_of, look

__all__ = ["plot_waveforms"]

# Points evenly in time, for smooth lines, and parts whose extremes are kept: more than there are pixels.
_POINTS = 2000
_PARTS = 2000
_QUANTITIES = {"V": "voltage", "A": "current"}


def plot_waveforms(
    waveform: Waveform,
    channels: Sequence[str],
    axes: Sequence[Axes] | None = None,
    begin: float | None = None,
    end: float | None = None,
) -> Figure:
    """Channels over time, those of one unit together; of a long trace every peak is kept.

    Args:
        waveform: of a result.
        channels: names of its channels.
        axes: one for each unit, in the order of first use; left out: a figure of its own.
        begin: of the part to show [s]; left out: that of the waveform.
        end: of the part to show [s]; left out: that of the waveform.

    Returns:
        The figure drawn into.

    Raises:
        ValueError: there is no such channel.
    """
    groups: dict[str, list[str]] = {}
    for channel in channels:
        if channel not in waveform.units:
            raise ValueError(f"no channel {channel!r}; there are {', '.join(waveform.units)}")
        groups.setdefault(waveform.units[channel], []).append(channel)
    first, last = waveform.begin if begin is None else begin, waveform.end if end is None else end
    even = np.linspace(first, last, _POINTS)
    with look():
        if axes is None:
            _, own = plt.subplots(
                len(groups), 1, sharex=True, squeeze=False, figsize=(8.0, 1.0 + 2.0 * len(groups))
            )
            axes = list(own[:, 0])
        for panel, (unit, names) in zip(axes, groups.items(), strict=True):
            for name in names:
                times = np.union1d(even, extreme_times(waveform, [name], first, last, _PARTS))
                panel.plot(times, waveform.value(name, times), label=name)
            panel.set_ylabel(f"{_QUANTITIES.get(unit, 'value')} ({unit})")
            panel.legend(loc="center left", bbox_to_anchor=(1.0, 0.5), frameon=False)
        axes[-1].xaxis.set_major_formatter(EngFormatter(unit="s", sep=" "))
        axes[-1].set_xlabel("time")
        return figure_of(axes[0])
