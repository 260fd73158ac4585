"""The unit of work of a sweep: some points computed in one call, here, in a process or on another machine."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Annotated, NamedTuple

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from . import _core
from .cell import LowSideCell
from .driver import Driver, PushPullDriver
from .studies import settings

__all__ = ["DONE", "NOT_RUN", "ChunkAnswer", "Outcome", "Point", "figure_names", "portable", "run_chunk"]

NOT_RUN = _core.PointStatus.not_run.name
DONE = _core.PointStatus.done.name


class Point(NamedTuple):
    """A cell and how it is operated: frequency [Hz], duty."""

    cell: LowSideCell
    frequency: float
    duty: float


class Outcome(NamedTuple):
    """Status by name, the core's sentence, and the figures in the order of :func:`figure_names`."""

    status: str
    message: str
    figures: NDArray[np.float64]


@dataclass(frozen=True)
class ChunkAnswer:
    """What became of the points of a chunk, how long they took [s], and what computed them."""

    outcomes: list[Outcome]
    seconds: float
    version: str
    figures: tuple[str, ...]


def figure_names() -> tuple[str, ...]:
    """Of the figures of a point, in the order of their columns."""
    return tuple(figure.name for figure in _core.operating_point_figures())


class ReducedDriver(PushPullDriver):
    """The push-pull output of a driver and its power at rest, which is all that the core sees of it."""

    power_at_rest: Annotated[
        tuple[float, float], Field(description="While the output rests high, and low [W].")
    ]

    @property
    def on_state_power(self) -> float:
        """Of the driver that it stands for [W]."""
        return self.power_at_rest[0]

    @property
    def off_state_power(self) -> float:
        """Of the driver that it stands for [W]."""
        return self.power_at_rest[1]


def portable(points: Sequence[Point]) -> list[Point]:
    """The same points, each driver reduced to what the core sees of it.

    A class of driver that was defined in a notebook is unknown to a process started afresh.
    """
    cells = {id(point.cell): point.cell for point in points}
    reduced = {key: cell.replace(driver=_reduced(cell.driver)) for key, cell in cells.items()}
    return [point._replace(cell=reduced[id(point.cell)]) for point in points]


def _reduced(driver: Driver) -> ReducedDriver:
    output = driver.push_pull()
    fields = {name: getattr(output, name) for name in PushPullDriver.model_fields}
    return ReducedDriver(**fields, power_at_rest=(driver.on_state_power, driver.off_state_power))


def run_chunk(
    points: Sequence[Point], relative_tolerance: float, go_on: Callable[[], None] | None = None
) -> ChunkAnswer:
    """Compute points on one thread.

    A function of the module, so that a process started afresh can be told to call it.

    Args:
        points: those that share a cell share the object.
        relative_tolerance: of the integrator.
        go_on: called now and then; what it raises ends the work, and what is finished is returned.

    Raises:
        BaseException: what a signal handler raised, where there is no `go_on` to ask.
    """
    begin = time.perf_counter()
    found: dict[tuple[int, float, float], Outcome] = {}
    for cells, frequencies, duties in _blocks(points):
        core, raised = _core.sweep(
            [cell.to_core() for cell in cells],
            frequencies,
            duties,
            settings(relative_tolerance),
            1,
            lambda _finished, _total: go_on() if go_on else None,
        )
        if raised is not None and go_on is None:
            raise raised
        places = ((id(cell), f, d) for cell in cells for f in frequencies for d in duties)
        rows = zip(core.status, core.messages, core.figures, strict=True)
        found |= {place: Outcome(row[0].name, *row[1:]) for place, row in zip(places, rows, strict=True)}
        if raised is not None:
            break
    missing = Outcome(NOT_RUN, "", np.full(len(figure_names()), np.nan))
    outcomes = [found.get((id(point.cell), point.frequency, point.duty), missing) for point in points]
    return ChunkAnswer(outcomes, time.perf_counter() - begin, _core.__version__, figure_names())


def _blocks(points: Sequence[Point]) -> Iterator[tuple[list[LowSideCell], list[float], list[float]]]:
    """The points as products of cells, frequencies and duties, which is what the core takes."""
    operations: dict[int, dict[float, dict[float, None]]] = {}
    cells = {id(point.cell): point.cell for point in points}
    for point in points:
        operations.setdefault(id(point.cell), {}).setdefault(point.frequency, {})[point.duty] = None
    blocks: dict[tuple[tuple[float, ...], tuple[float, ...]], list[LowSideCell]] = {}
    for key, duties_at in operations.items():
        frequencies_with: dict[tuple[float, ...], list[float]] = {}
        for frequency, duties in duties_at.items():
            frequencies_with.setdefault(tuple(duties), []).append(frequency)
        for shared, frequencies in frequencies_with.items():
            blocks.setdefault((tuple(frequencies), shared), []).append(cells[key])
    for (f, d), together in blocks.items():
        yield together, list(f), list(d)
