"""An operating point at a glance: both edges, and below them the losses by cause."""

from __future__ import annotations

from matplotlib import pyplot as plt
from matplotlib.figure import Figure

from ..studies.results import OperatingPoint
from .edges import plot_edges
from .losses import plot_losses
from .style import look

__all__ = ["plot_overview"]

_SIZE = (9.6, 9.2)  # [inch]
# Places as shares of the figure: to find them anew for each picture would double the time to draw.
_EDGES = {"left": 0.075, "right": 0.985, "bottom": 0.43, "top": 0.925, "hspace": 0.1, "wspace": 0.06}
_LOSSES = {"left": 0.19, "right": 0.985, "bottom": 0.06, "top": 0.33}


def plot_overview(point: OperatingPoint) -> Figure:
    """The pictures of :func:`plot_edges` and :func:`plot_losses`, one above the other.

    Args:
        point: of :func:`gateswing.operating_point`.

    Returns:
        A figure of its own.
    """
    with look():
        figure = plt.figure(figsize=_SIZE, layout="none")
        edges = figure.add_gridspec(3, 2, **_EDGES).subplots(sharex="col", sharey="row", squeeze=False)
        plot_edges(point, edges.tolist())
        plot_losses(point, figure.add_subplot(figure.add_gridspec(1, 1, **_LOSSES)[0]))
        return figure
