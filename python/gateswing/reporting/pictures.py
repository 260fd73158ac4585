"""The pictures of the page, each with the words that stand for it."""

from __future__ import annotations

import math
from typing import NamedTuple

from markupsafe import Markup
from matplotlib.figure import Figure

from ..figures import format_figure
from ..plot.losses import plot_losses
from ..plot.style import look
from ..plot.svg import svg_of
from ..studies.bridge_point import HalfBridgePoint
from ..studies.results import OperatingPoint, large_losses
from .period import period_of

__all__ = ["Picture", "edges_picture", "losses_picture"]


class Picture(NamedTuple):
    """A picture and its caption."""

    svg: Markup
    caption: str


def edges_picture(point: OperatingPoint | HalfBridgePoint) -> Picture:
    """Both edges of the period with what is named of them."""
    period = period_of(point)
    with look():
        figure = Figure(figsize=(9.6, 6.8))
        axes = figure.subplots(3, 2, sharex="col", sharey="row")
    period.plot(axes.tolist())
    return Picture(Markup(svg_of(figure, "edges", period.words)), period.caption)


def losses_picture(point: OperatingPoint | HalfBridgePoint) -> Picture | None:
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
