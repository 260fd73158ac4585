"""The margin of each limit over the switching frequency."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import matplotlib as mpl
import numpy as np
from matplotlib import pyplot as plt
from matplotlib.ticker import PercentFormatter

from .style import BLACK, GREY, figure_of, ink, label_decades, look

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from ..choices.frequency_limit import HighestFrequency
    from ..limits.checks import LimitCheck

__all__ = ["plot_margins"]

_LOWEST_SHOWN = -1.0
# A limit that keeps more than this margin everywhere gets no name, since there are many of them.
_FAR = 0.9
_APART = 0.085  # of two names


def plot_margins(found: HighestFrequency, axes: Axes | None = None) -> Figure:
    """Margins of all limits; those below zero are exceeded, the frequency that holds all is marked.

    Args:
        found: of :func:`gateswing.highest_frequency`.
        axes: to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.
    """
    with look():
        if axes is None:
            _, axes = plt.subplots(figsize=(7.0, 4.0))
        axes.axhspan(_LOWEST_SHOWN, 0.0, color="#F3F3F3", zorder=0)
        ends = _curves(axes, found)
        _label(axes, ends)
        axes.set_xscale("log")
        axes.set_xlim(found.frequencies[0], found.frequencies[-1])
        axes.set_ylim(_LOWEST_SHOWN, 1.05)
        label_decades(axes.xaxis, "Hz")
        axes.yaxis.set_major_formatter(PercentFormatter(1.0))
        axes.set_xlabel("switching frequency")
        axes.set_ylabel("margin to the limit")
        if 0.0 < found.frequency < math.inf:
            axes.axvline(found.frequency, color=BLACK, linewidth=1.0, linestyle=(0, (4, 2)))
        axes.axhline(0.0, color=GREY, linewidth=1.0)
        axes.set_title(found.sentence().rstrip("."))
        return figure_of(axes)


def _curves(axes: Axes, found: HighestFrequency) -> list[tuple[float, str, str]]:
    """Draw all margins; height of the end, name and colour of each, those far off in one."""
    ends: list[tuple[float, str, str]] = []
    far = 0
    colours = mpl.rcParams["axes.prop_cycle"].by_key()["color"]
    for limit in found.limits:
        if limit.check.is_yes_or_no:
            continue
        margins = np.array([_margin(limit.check.name, some) for some in found.checks])
        if not np.isfinite(margins).any():
            continue  # never anywhere near it; the title says so
        if np.nanmin(margins) > _FAR:
            far += 1
            axes.plot(found.frequencies, margins, color=GREY, linewidth=0.8)
            continue
        # A colour that comes back is told from the first by its dashes.
        is_dashed, colour = len(ends) >= len(colours), colours[len(ends) % len(colours)]
        shown = np.clip(margins, 1.2 * _LOWEST_SHOWN, 1.0)
        axes.plot(found.frequencies, shown, color=colour, linestyle="--" if is_dashed else "-")
        last = float(np.clip(margins[np.isfinite(margins)][-1], _LOWEST_SHOWN, 1.0))
        ends.append((last, f"{limit.check.title} (dashed)" if is_dashed else limit.check.title, colour))
    return [*ends, (1.0, f"{far} more above {_FAR:.0%}", GREY)] if far else ends


def _margin(name: str, checks: tuple[LimitCheck, ...]) -> float:
    return next((one.margin for one in checks if one.name == name), math.nan)


def _label(axes: Axes, ends: list[tuple[float, str, str]]) -> None:
    """Each name at the right end of its line, kept apart, those at the top from there downwards."""
    place, places = -math.inf, []
    for height, _, _ in sorted(ends):
        place = max(height, place + _APART)
        places.append(place)
    ceiling = 1.0
    for index in reversed(range(len(places))):
        places[index] = min(places[index], ceiling)
        ceiling = places[index] - _APART
    for place, (_, title, colour) in zip(places, sorted(ends), strict=True):
        axes.annotate(
            title,
            (1.0, place),
            xycoords=("axes fraction", "data"),
            xytext=(6, 0),
            textcoords="offset points",
            va="center",
            fontsize=8.5,
            color=ink(colour),
            annotation_clip=False,
        )
