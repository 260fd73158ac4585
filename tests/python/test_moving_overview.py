"""The picture of the sliders: frames are kept, and what is painted over them is the point's alone."""

from typing import Any

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg

import gateswing as gs
from gateswing.plot import plot_overview
from gateswing.plot.overview import MovingOverview


def test_it_is_the_picture_of_the_overview(point: gs.OperatingPoint) -> None:
    moving = MovingOverview(80).pixels(point)
    figure = plot_overview(point)
    figure.set_dpi(80)
    canvas: Any = FigureCanvasAgg(figure)
    canvas.draw()
    whole = np.asarray(canvas.buffer_rgba())
    assert moving.shape == whole.shape
    # Names of curves lie below the curves instead of above.
    assert np.mean(np.any(moving != whole, axis=-1)) < 0.005


def test_what_was_shown_before_leaves_no_trace(design: gs.Design) -> None:
    moving = MovingOverview(80)
    for resistance in (10.0, 15.0, 11.0):
        changed = design.replace({"cell.gate_resistance": resistance})
        shown = moving.pixels(gs.quick_check(changed).point)
    # The last fits the scales of the one before; with its frames drawn anew it is the same to the pixel.
    moving._background = None
    assert np.array_equal(moving.pixels(gs.quick_check(changed).point), shown)


def test_scales_stay_while_what_is_shown_fits_them(design: gs.Design) -> None:
    moving = MovingOverview(80)
    scales = []
    for resistance in (10.0, 12.0, 12.5, 47.0):
        moving.pixels(gs.quick_check(design.replace({"cell.gate_resistance": resistance})).point)
        scales.append(dict(moving._scales))
    assert scales[0] != scales[1] == scales[2] != scales[3]
