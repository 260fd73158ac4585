"""Losses by element."""

from __future__ import annotations

from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..figures import format_figure
from ..results import OperatingPoint
from .style import BLACK, BLUE, GREY, figure_of, look

__all__ = ["plot_losses"]


def plot_losses(point: OperatingPoint, axes: Axes | None = None) -> Figure:
    """One bar for each element that turns energy into heat, the largest on top.

    Args:
        point: of :func:`gateswing.operating_point`.
        axes: to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.
    """
    losses = point.large_losses()
    with look():
        if axes is None:
            _, axes = plt.subplots(figsize=(7.2, 0.9 + 0.32 * len(losses)))
        names, powers = list(losses), list(losses.values())
        bars = axes.barh(names, powers, color=BLUE, height=0.66)
        texts = [f"{format_figure(power, 'W', 3)}   {_share(power / point.total_loss)}" for power in powers]
        axes.bar_label(bars, texts, padding=4, color=BLACK, fontsize=8.5)
        axes.invert_yaxis()
        axes.grid(visible=False)
        axes.tick_params(left=False)
        axes.spines["left"].set_color(GREY)
        axes.margins(x=0.22)
        axes.set_xlabel("mean loss (W)")
        axes.set_title(_title(point))
        return figure_of(axes)


def _share(share: float) -> str:
    return f"{share:.0%}" if share >= 0.01 else "<1%"


def _title(point: OperatingPoint) -> str:
    where = f"{format_figure(point.frequency, 'Hz')}, duty {format_figure(point.duty, '%')}"
    total, efficiency = format_figure(point.total_loss, "W", 3), format_figure(point.efficiency, "%", 3)
    return f"Losses at {where}: {total}, efficiency {efficiency}"
