"""The temperature of a junction after a power is switched on."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter

from ..circuit.thermal import FosterLadder
from ..figures import format_figure
from ..model import Quantity, argument, at_least
from ..quantities import ZERO_CELSIUS
from .style import BLACK, GREY, figure_of, ink, look

__all__ = ["plot_thermal_step"]

_POINTS = 200
_TEMPERATURE = Quantity("K", "Of the junction or its reference.", allowed=at_least(173.15, 573.15))
# Begin and end of the time axis, in the shortest and the longest time constant.
_BEFORE, _AFTER = 0.1, 6.0


def plot_thermal_step(
    ladder: FosterLadder,
    powers: Sequence[float],
    reference: float | str = 298.15,
    limit: float | str | None = None,
    axes: Axes | None = None,
) -> Figure:
    """Temperature over time on a logarithmic axis, one curve for each power; ticks mark the time constants.

    Args:
        ladder: from the junction to what keeps its temperature.
        powers: switched on at time zero [W].
        reference: temperature of what keeps it [K].
        limit: of the junction [K], drawn as a line; left out: none.
        axes: to draw into; left out: a figure of its own.

    Returns:
        The figure drawn into.

    Raises:
        InputError: a temperature is out of range.
    """
    reference = argument("reference", reference, _TEMPERATURE)
    constants = ladder.time_constants
    times = np.geomspace(_BEFORE * min(constants), _AFTER * max(constants), _POINTS)
    with look():
        if axes is None:
            _, axes = plt.subplots(figsize=(6.6, 4.0))
        for power in powers:
            course = reference + power * ladder.step_response(times) - ZERO_CELSIUS
            (line,) = axes.semilogx(times, course)
            axes.annotate(
                format_figure(power, "W", 3), (1.0, course[-1]), xycoords=("axes fraction", "data"),
                xytext=(6, 0), textcoords="offset points", va="center", color=ink(str(line.get_color())),
                annotation_clip=False,
            )  # fmt: skip
        if limit is not None:
            limit = argument("limit", limit, _TEMPERATURE)
            axes.axhline(limit - ZERO_CELSIUS, color=BLACK, lw=1.0, ls=(0, (4, 3)))
            axes.annotate(
                f"limit {format_figure(limit, 'K', 3)}", (0.02, limit - ZERO_CELSIUS), xytext=(0, 3),
                xycoords=axes.get_yaxis_transform(), textcoords="offset points", fontsize=8.5,
            )  # fmt: skip
        axes.plot(
            constants, np.zeros(len(constants)), "|", color=GREY, ms=18, transform=axes.get_xaxis_transform()
        )
        axes.set_xlim(times[0], times[-1])
        axes.xaxis.set_major_formatter(FuncFormatter(lambda time, _: format_figure(time, "s", 3)))
        axes.set_xlabel("time since the power was switched on")
        axes.set_ylabel("junction temperature (°C)")
        axes.set_title(f"Step of power, from {format_figure(reference, 'K', 3)}")
        return figure_of(axes)
