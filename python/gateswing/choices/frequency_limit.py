"""How fast a design can switch: the highest frequency for each limit, and the limit that comes first."""

from __future__ import annotations

import math
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ..circuit.design_file import Design, require_low_side
from ..circuit.operation import Operation
from ..circuit_checks.left_out import issue_once, left_out
from ..errors import InputError, InputProblem, SimulationError
from ..figures import format_figure
from ..limits.checks import LimitCheck, judged
from ..model import argument
from ..studies.asking import quiet_operating_point
from ..tables import html_table, text_table
from ..threads import thread_count

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["FrequencyLimit", "HighestFrequency", "highest_frequency"]

_HEADER = ("limit", "allows up to", "figure there", "allowed")
# Points of the coarse search in a factor of ten.
_DENSITY = 5
# Relative uncertainty of a frequency that is left.
_ACCURACY = 0.005


@dataclass(frozen=True)
class FrequencyLimit:
    """What one limit allows.

    Attributes:
        check: the limit at the highest frequency that holds it; at the lowest of the search if none does.
        frequency: that frequency [Hz]; 0 if none holds it, infinite if all of the search do.
    """

    check: LimitCheck
    frequency: float

    def row(self) -> tuple[str, str, str, str]:
        """Limit, frequency, figure and what is allowed, as text."""
        title, figure, allowed, *_ = self.check.row()
        if self.frequency == 0.0:
            return title, "no frequency", figure, allowed
        if math.isinf(self.frequency):
            return title, "beyond the search", figure, allowed
        return title, format_figure(self.frequency, "Hz", 3), figure, allowed


@dataclass(frozen=True, repr=False)
class HighestFrequency:
    """The frequency that each limit allows, the lowest first.

    Attributes:
        design: the design; only its frequency was changed.
        limits: one for each limit.
        frequencies: simulated in the coarse search [Hz], ascending.
        checks: the limits at each of them; empty where a run did not finish.
    """

    design: Design
    limits: tuple[FrequencyLimit, ...]
    frequencies: tuple[float, ...]
    checks: tuple[tuple[LimitCheck, ...], ...]

    @property
    def limiting(self) -> FrequencyLimit:
        """The limit that comes first."""
        return self.limits[0]

    @property
    def frequency(self) -> float:
        """Highest frequency that holds every limit [Hz]; 0 if there is none."""
        return self.limiting.frequency

    def sentence(self) -> str:
        """The frequency and the limit that sets it."""
        first = self.limiting
        if first.frequency == 0.0:
            return f"No frequency holds all limits: {first.check.sentence()}"
        if math.isinf(first.frequency):
            return (
                f"All limits hold up to {format_figure(self.frequencies[-1], 'Hz')}, where the search ended."
            )
        return f"Up to {format_figure(first.frequency, 'Hz', 3)}, limited by {first.check.title}."

    def plot(self, axes: Axes | None = None) -> Figure:
        """Draw the margin of each limit over the frequency; see :func:`gateswing.plot.plot_margins`."""
        from ..plot import plot_margins

        return plot_margins(self, axes)

    def __repr__(self) -> str:
        rows = [one.row() for one in self.limits]
        return f"{self.sentence()}\n\n{text_table(rows, _HEADER, frozenset({1, 2}))}"

    def _repr_html_(self) -> str:
        return html_table([one.row() for one in self.limits], _HEADER, self.sentence())


def highest_frequency(
    design: Design, *, lowest: float | str = "1 kHz", highest: float | str = "5 MHz"
) -> HighestFrequency:
    """Search the highest switching frequency for each limit of a design, the duty cycle kept.

    Operating points at five frequencies per decade show where each limit is crossed for the first time;
    bisection finds the place to half a per cent. A limit that is exceeded at low frequency and held above it
    (a ripple, say) counts from where it is held.

    Args:
        design: the design; its own frequency does not matter.
        lowest: where the search begins [Hz].
        highest: where it ends [Hz].

    Raises:
        InputError: the ends are out of range or in the wrong order, or it is no design of a low-side cell.
        SimulationError: no frequency has an answer.
    """
    require_low_side(design)
    issue_once(design.cell, left_out(design.cell))
    kind = Operation.quantity_of("frequency")
    assert kind is not None
    low, high = argument("lowest", lowest, kind), argument("highest", highest, kind)
    if not low < high:
        allowed = f"above {format_figure(low, 'Hz')}"
        raise InputError([InputProblem("highest", repr(highest), "not above the lowest.", allowed)])
    count = 1 + math.ceil(_DENSITY * math.log10(high / low))
    search = _Search(design)
    frequencies = tuple(float(one) for one in np.geomspace(low, high, count))
    with ThreadPoolExecutor(thread_count(None)) as pool:
        checks = tuple(pool.map(search.checks, frequencies))
        names = {check.name for some in checks for check in some}
        if not names:
            raise SimulationError(
                "no_answer", "No frequency of the search has a periodic state to be judged."
            )
        limits = list(pool.map(lambda name: search.limit(name, frequencies), sorted(names)))
    return HighestFrequency(design, tuple(sorted(limits, key=_order)), frequencies, checks)


def _order(limit: FrequencyLimit) -> tuple[float, float]:
    return limit.frequency, limit.check.margin


class _Search:
    """Operating points of a design by frequency, each simulated once."""

    def __init__(self, design: Design) -> None:
        self._design = design
        self._found: dict[float, tuple[LimitCheck, ...]] = {}

    def checks(self, frequency: float) -> tuple[LimitCheck, ...]:
        if frequency not in self._found:
            operation = self._design.operation
            point = quiet_operating_point(self._design.cell, frequency=frequency, duty=operation.duty)
            self._found[frequency] = judged(self._design, point)
        return self._found[frequency]

    def check(self, name: str, frequency: float) -> LimitCheck | None:
        return next((one for one in self.checks(frequency) if one.name == name), None)

    def limit(self, name: str, frequencies: Iterable[float]) -> FrequencyLimit:
        """The first crossing upward from a frequency that holds the limit; one without an answer does not."""
        last_held = first = None
        for frequency in frequencies:
            check = self.check(name, frequency)
            first = first or check
            if check is not None and check.margin >= 0.0:
                last_held = frequency
            elif last_held is not None:
                return self._crossing(name, last_held, frequency)
        assert first is not None
        if last_held is None:
            return FrequencyLimit(first, 0.0)
        held = self.check(name, last_held)
        assert held is not None
        return FrequencyLimit(held, math.inf)

    def _crossing(self, name: str, held: float, exceeded: float) -> FrequencyLimit:
        while exceeded > held * (1.0 + _ACCURACY):
            middle = math.sqrt(held * exceeded)
            if self._holds(name, middle):
                held = middle
            else:
                exceeded = middle
        check = self.check(name, held)
        assert check is not None
        return FrequencyLimit(check, held)

    def _holds(self, name: str, frequency: float) -> bool:
        check = self.check(name, frequency)
        return check is not None and check.margin >= 0.0
