"""Which quantity moves a figure most: each to its limits, one at a time, the others typical."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Unpack

from ..circuit.cell import LowSideCell
from ..circuit.half_bridge import HalfBridgeCell
from ..figures import format_figure, require_figure
from ..quantities import format_quantity
from ..studies.figure_units import figure_unit
from ..sweeping.dataset import kind_in, origin_of
from ..sweeping.kinds import kind_of
from ..sweeping.sweep import JobOptions, SweepJob, run_plan
from ..tables import html_table, text_table
from .runs import spread_plan
from .spreads import Distribution, SpreadMap, distributions

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["Tornado", "TornadoBar", "tornado"]

_HEADER = ("quantity", "minimum", "maximum", "figure at minimum", "figure at maximum", "range")


@dataclass(frozen=True)
class TornadoBar:
    """What one quantity does to the figure.

    Attributes:
        spread: the quantity and its limits.
        at_low, typical, at_high: the figure there, in SI units; NaN without an answer.
    """

    spread: Distribution
    at_low: float
    typical: float
    at_high: float

    @property
    def range(self) -> float:
        """Of the figure over the three, so that a quantity with its optimum inside counts too."""
        three = (self.at_low, self.typical, self.at_high)
        return math.nan if any(map(math.isnan, three)) else max(three) - min(three)


@dataclass(frozen=True, repr=False)
class Tornado:
    """Sensitivities of one figure.

    Attributes:
        figure: its name.
        dataset: all figures over the dimension ``run``: the typical design, then minimum and maximum of each
            quantity in turn.
        spreads: the quantities in that order.
    """

    figure: str
    dataset: xr.Dataset
    spreads: tuple[Distribution, ...]

    @property
    def typical(self) -> float:
        """The figure of the typical design, in SI units."""
        return float(self.dataset[self.figure][0])

    @property
    def unit(self) -> str:
        """Of the figure; ``%`` for a share."""
        return figure_unit(self.dataset[self.figure])

    @property
    def bars(self) -> tuple[TornadoBar, ...]:
        """One for each quantity, the largest range first; those without an answer at a limit before all."""
        values = self.dataset[self.figure].values[1:].tolist()
        found = [
            TornadoBar(spread, low, self.typical, high)
            for spread, low, high in zip(self.spreads, values[::2], values[1::2], strict=True)
        ]
        return tuple(sorted(found, key=lambda bar: (not math.isnan(bar.range), -bar.range)))

    def about(self, figure: str) -> Tornado:
        """The same runs looked at for another figure.

        Raises:
            InputError: there is no such figure.
        """
        require_figure("figure", figure, kind_in(origin_of(self.dataset)).figure_names)
        return dataclasses.replace(self, figure=figure)

    def plot(self, axes: Axes | None = None) -> Figure:
        """Draw it; see :func:`gateswing.plot.plot_tornado`."""
        from ..plot import plot_tornado

        return plot_tornado(self, axes)

    def _title(self) -> str:
        name = self.figure.replace("_", " ")
        return f"Sensitivity of the {name}, {format_figure(self.typical, self.unit)} where all is typical"

    def _rows(self) -> list[tuple[str, ...]]:
        rows = []
        for bar in self.bars:
            ends = [format_quantity(end, bar.spread.kind.unit) for end in (bar.spread.low, bar.spread.high)]
            figures = [format_figure(value, self.unit) for value in (bar.at_low, bar.at_high)]
            rows.append((bar.spread.label, *ends, *figures, _difference(bar.range, self.unit)))
        return rows

    def __repr__(self) -> str:
        return f"{self._title()}\n{text_table(self._rows(), _HEADER, frozenset(range(1, 6)))}"

    def _repr_html_(self) -> str:
        return html_table(self._rows(), _HEADER, self._title())


def _difference(value: float, unit: str) -> str:
    """A difference with its unit: that of temperatures in kelvin, which are themselves in degrees Celsius."""
    return f"{value:.4g} K" if unit == "K" and not math.isnan(value) else format_figure(value, unit)


def tornado(
    cell: LowSideCell | HalfBridgeCell,
    spreads: SpreadMap,
    figure: str = "total_loss",
    *,
    frequency: float | str | None = None,
    duty: float | str | None = None,
    dead_time: float | str | None = None,
    active: Literal["high", "low"] | None = None,
    **job: Unpack[JobOptions],
) -> Tornado:
    """Move each quantity to its minimum and its maximum, the others typical: 2 k + 1 operating points.

    What two quantities do together it does not show; :func:`corners` does.

    Args:
        cell: the circuit with its typical values.
        spreads: what varies, as for :func:`monte_carlo`.
        figure: to be looked at; :meth:`Tornado.about` looks at others without further runs.
        frequency: switching frequency [Hz].
        duty: duty cycle; of a half bridge that of the active switch.
        dead_time: of a half bridge [s].
        active: of a half bridge the switch whose duty is stated; left out: ``high``.
        **job: `threads`, `executor`, `store`, `progress`, `relative_tolerance` as for :func:`sweep`.

    Raises:
        InputError: a spread cannot be, or there is no such figure.
        StoreError, SweepInterrupted: as :func:`sweep`.
    """
    require_figure("figure", figure, kind_of(cell).figure_names)
    found = distributions(cell, spreads)
    columns = {
        spread.path: [
            spread.typical,
            *(
                end
                for other in found
                for end in ((spread.low, spread.high) if other is spread else (spread.typical,) * 2)
            ),
        ]
        for spread in found
    }
    operation = {"frequency": frequency, "duty": duty, "dead_time": dead_time}
    plan = spread_plan(cell, "run", columns, operation, active)
    return Tornado(figure, run_plan(plan, SweepJob(**job)).squeeze(), tuple(found))
