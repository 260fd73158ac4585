"""The one look of all pictures."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import matplotlib as mpl
from cycler import cycler
from matplotlib.axes import Axes
from matplotlib.figure import Figure

__all__ = [
    "BAND",
    "BLACK",
    "BLUE",
    "GREEN",
    "GREY",
    "ORANGE",
    "PURPLE",
    "SKY",
    "VERMILLION",
    "figure_of",
    "look",
]

# Okabe and Ito, Color Universal Design: how to make figures and presentations that are friendly to colorblind
# people, 2002, revised 2008. Their yellow is left out: it is too pale for a line.
BLACK = "#000000"
ORANGE = "#E69F00"
SKY = "#56B4E9"
GREEN = "#009E73"
BLUE = "#0072B2"
VERMILLION = "#D55E00"
PURPLE = "#CC79A7"
GREY = "#6B6B6B"
# Shading of intervals, told apart by lightness as well.
BAND = ("#DCEBF5", "#F8E3CE")

_SETTINGS: dict[Any, Any] = {
    "font.size": 9.0,
    "axes.titlesize": 10.0,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "axes.labelsize": 9.0,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.linewidth": 0.8,
    "axes.grid": True,
    "axes.axisbelow": True,
    "grid.color": "#E3E3E3",
    "grid.linewidth": 0.6,
    "lines.linewidth": 1.6,
    "lines.solid_capstyle": "round",
    "xtick.labelsize": 8.5,
    "ytick.labelsize": 8.5,
    "figure.dpi": 110,
    "savefig.dpi": 160,
    "figure.constrained_layout.use": True,
    "axes.prop_cycle": cycler(color=[BLUE, VERMILLION, GREEN, ORANGE, PURPLE, SKY, BLACK]),
}


@contextmanager
def look() -> Iterator[None]:
    """Draw in this look, whatever the caller has set, and leave the caller's settings as they were."""
    with mpl.rc_context(_SETTINGS):
        yield


def figure_of(axes: Axes) -> Figure:
    """The figure that axes belong to, looking through subfigures."""
    figure = axes.get_figure(root=True)
    if figure is None:
        raise ValueError("the axes belong to no figure")
    return figure
