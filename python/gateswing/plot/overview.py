"""An operating point at a glance: both edges, and below them the losses by cause."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from numpy.typing import NDArray

from ..studies.results import OperatingPoint
from .edges import draw_edges, frame_edges
from .losses import draw_losses, frame_losses
from .style import look

__all__ = ["MovingOverview", "plot_overview"]

_SIZE = (9.6, 9.2)  # [inch]
# Places as shares of the figure: to find them anew for each picture would double the time to draw.
_EDGES = {"left": 0.075, "right": 0.985, "bottom": 0.43, "top": 0.925, "hspace": 0.1, "wspace": 0.06}
_LOSSES = {"left": 0.19, "right": 0.985, "bottom": 0.06, "top": 0.33}
# A scale is kept while what is shown fits it and takes this share; a new one has this much room at each end.
_USED, _ROOM = 0.5, 0.2

Limits = tuple[float, float]


def plot_overview(point: OperatingPoint) -> Figure:
    """The pictures of :func:`plot_edges` and :func:`plot_losses`, one above the other.

    Args:
        point: of :func:`gateswing.operating_point`.

    Returns:
        A figure of its own.
    """
    with look():
        figure = plt.figure(figsize=_SIZE, layout="none")
        edges, losses = _frame(figure)
        draw_edges(edges, point)
        draw_losses(losses, point)
        return figure


class MovingOverview:
    """The picture of :func:`plot_overview` for one point after the other.

    Frames, scales and names take most of the time to draw it. They are drawn once and painted over while
    what is shown fits the scales: those stay where they are while a slider moves, so that the eye sees what
    moves.
    """

    def __init__(self, dots_per_inch: float) -> None:
        with look():
            self._figure = Figure(figsize=_SIZE, dpi=dots_per_inch)
            self._figure.set_layout_engine("none")
            self._canvas: Any = FigureCanvasAgg(self._figure)
            self._edges, self._losses = _frame(self._figure)
        self._frames = {axes: set(_contents(axes)) for axes in self._figure.axes}
        # The title names the point; the spine lies over the bars.
        self._over = (self._losses.spines["left"], self._losses.title)
        for one in self._over:
            one.set_animated(True)
        self._scales: dict[str, Limits] = {}
        self._background: tuple[object, object] | None = None

    def pixels(self, point: OperatingPoint) -> NDArray[np.uint8]:
        """Of the picture of a point, (height, width, 4): red, green, blue and opacity, 0 to 255."""
        with look():
            self._clear()
            draw_edges(self._edges, point)
            draw_losses(self._losses, point)
            self._keep_scales()
            added = [
                one for axes in self._figure.axes for one in _contents(axes) if one not in self._frames[axes]
            ]
            for one in added:
                one.set_animated(True)
            self._restore_background()
            renderer = self._canvas.get_renderer()
            for one in [*sorted(added, key=lambda one: one.get_zorder()), *self._over]:
                one.draw(renderer)
            return np.array(self._canvas.buffer_rgba())

    def _clear(self) -> None:
        for axes in self._figure.axes:
            for one in _contents(axes):
                if one not in self._frames[axes]:
                    one.remove()
            axes.relim()
            axes.autoscale()

    def _keep_scales(self) -> None:
        # Columns share their times, rows their values.
        for index, axes in enumerate((*self._edges[0], self._losses)):
            axes.set_xlim(self._kept(f"x{index}", axes.get_xlim()))
        for index, row in enumerate(self._edges):
            row[0].set_ylim(self._kept(f"y{index}", row[0].get_ylim()))

    def _kept(self, name: str, wanted: Limits) -> Limits:
        """Limits of a scale: as they were if they do, else new ones."""
        low, high = wanted
        kept = self._scales.get(name)
        if kept is None:
            self._scales[name] = wanted
        elif not kept[0] <= low < high <= kept[1] or high - low < _USED * (kept[1] - kept[0]):
            room = _ROOM * (high - low)
            self._scales[name] = (low - room if low != 0.0 else 0.0, high + room)
        return self._scales[name]

    def _restore_background(self) -> None:
        """Paint the frames; draw them anew only where a scale or a cause is another."""
        causes = tuple(text.get_text() for text in self._losses.get_yticklabels())
        key = (causes, tuple((*axes.get_xlim(), *axes.get_ylim()) for axes in self._figure.axes))
        if self._background is None or self._background[0] != key:
            self._canvas.draw()
            self._background = (key, self._canvas.copy_from_bbox(self._figure.bbox))
        else:
            self._canvas.restore_region(self._background[1])


def _frame(figure: Figure) -> tuple[list[list[Axes]], Axes]:
    """Axes of the edges and of the losses, without what a point adds."""
    edges = figure.add_gridspec(3, 2, **_EDGES).subplots(sharex="col", sharey="row", squeeze=False).tolist()
    losses = figure.add_subplot(figure.add_gridspec(1, 1, **_LOSSES)[0])
    frame_edges(edges)
    frame_losses(losses)
    return edges, losses


def _contents(axes: Axes) -> list[Artist]:
    return [*axes.patches, *axes.lines, *axes.texts]
