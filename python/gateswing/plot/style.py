"""The one look of all pictures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import matplotlib as mpl
from cycler import cycler
from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.colors import to_hex, to_rgb
from matplotlib.figure import Figure
from matplotlib.ticker import EngFormatter, LogLocator

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
    "axis_label",
    "figure_of",
    "ink",
    "label_decades",
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
# Of text on white.
_CONTRAST = 4.5

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


def axis_label(name: object, unit: str) -> str:
    """What an axis shows, with its unit if it has one."""
    return f"{name} ({unit})" if unit else str(name)


@contextmanager
def look() -> Iterator[None]:
    """Draw in this look, whatever the caller has set, and leave the caller's settings as they were."""
    with mpl.rc_context(_SETTINGS):
        yield


def label_decades(axis: Axis, unit: str) -> None:
    """Ticks of a logarithmic axis at 1, 2 and 5 of each decade, with unit and prefix.

    Matplotlib by itself labels the ticks between decades of a short axis as powers of ten.
    """
    axis.set_major_locator(LogLocator(subs=(1.0, 2.0, 5.0)))
    axis.set_major_formatter(EngFormatter(unit=unit, sep=" "))
    axis.set_minor_formatter("")


def ink(color: str) -> str:
    """The colour, darkened until text in it stands out from white paper.

    A contrast of 4.5 to 1 between relative luminances, as the W3C's Web Content Accessibility Guidelines 2.2,
    criterion 1.4.3, ask for.
    """
    red, green, blue = to_rgb(color)
    while 1.05 / (_luminance((red, green, blue)) + 0.05) < _CONTRAST:
        red, green, blue = 0.97 * red, 0.97 * green, 0.97 * blue
    return to_hex((red, green, blue))


def _luminance(rgb: Sequence[float]) -> float:
    """Relative luminance as the same guidelines define it."""
    linear = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in rgb)
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def figure_of(axes: Axes) -> Figure:
    """The figure that axes belong to, looking through subfigures."""
    figure = axes.get_figure(root=True)
    if figure is None:
        raise ValueError("the axes belong to no figure")
    return figure
