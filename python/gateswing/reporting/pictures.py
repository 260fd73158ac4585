"""The pictures of the page, each with the words that stand for it."""

from __future__ import annotations

import math
from typing import NamedTuple

from markupsafe import Markup
from matplotlib.figure import Figure

from ..figures import format_figure
from ..plot.edges import edge_intervals, plot_edges
from ..plot.losses import plot_losses
from ..plot.style import look
from ..plot.svg import svg_of
from ..studies.results import OperatingPoint, large_losses

__all__ = ["Picture", "edges_picture", "losses_picture"]


class Picture(NamedTuple):
    """A picture and its caption."""

    svg: Markup
    caption: str


def edges_picture(point: OperatingPoint) -> Picture:
    """Both edges of the period with their named intervals."""
    with look():
        figure = Figure(figsize=(9.6, 6.8))
        axes = figure.subplots(3, 2, sharex="col", sharey="row")
    plot_edges(point, axes.tolist())
    parts = []
    for name, edge in (("Turn-on", point.turn_on), ("Turn-off", point.turn_off)):
        times = [f"{one.name} {format_figure(one.end - one.begin, 's', 3)}" for one in edge_intervals(edge)]
        parts.append(f"{name}: {', '.join(times) or 'the drain does not change its level'}.")
    peaks = (
        f"The drain voltage peaks at {format_figure(point.peak_drain_voltage, 'V', 3)}, "
        f"the drain current at {format_figure(point.peak_drain_current, 'A', 3)}."
    )
    words = " ".join(["Gate voltage, drain voltage and drain current over time.", *parts, peaks])
    caption = (
        "Both edges of the last simulated period. Time counts from where the gate voltage leaves its level;"
        " the dashed line is the bus, dotted lines mark the figures written on them."
    )
    return Picture(Markup(svg_of(figure, "edges", words)), caption)


def losses_picture(point: OperatingPoint) -> Picture | None:
    """The losses by cause, stacked by the elements that get warm; ``None`` where nothing is lost."""
    causes = large_losses(point.losses_by_cause)
    if not (math.isfinite(point.total_loss) and point.total_loss > 0.0 and causes):
        return None
    with look():
        figure = Figure(figsize=(9.6, 0.9 + 0.32 * len(causes)))
        axes = figure.subplots()
    plot_losses(point, axes)
    shares = ", ".join(f"{cause} {format_figure(power, 'W', 3)}" for cause, power in causes.items())
    caption = (
        "Mean loss for each cause, divided by the elements that get warm, with its share of the total loss."
    )
    return Picture(Markup(svg_of(figure, "losses", f"Losses by cause: {shares}.")), caption)
