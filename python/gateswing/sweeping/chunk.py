"""The unit of work of a sweep: some points computed in one call, here, in a process or on another machine."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from .. import _core
from ..circuit.driver import Driver, PushPullDriver
from ..studies.asking import settings
from .kinds import AnyPoint, Cell, kind_of

__all__ = [
    "DONE",
    "NOT_RUN",
    "ChunkAnswer",
    "Deliver",
    "Outcome",
    "portable",
    "reduced",
    "run_chunk",
]

NOT_RUN = _core.PointStatus.not_run.name
DONE = _core.PointStatus.done.name


class Outcome(NamedTuple):
    """Status by name, the core's sentence, and the figures in the order of the kind of cell."""

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


Deliver = Callable[[Mapping[int, Outcome]], None]


def reduced(cell: Cell) -> Cell:
    """The same cell, its drivers reduced to their push-pull outputs, which is all that the core sees of them.

    A class of driver that was defined in a notebook is unknown to a process started afresh.
    """
    return cell.replace({path: _plain(cell.value_at(path)) for path in kind_of(cell).drivers})


def portable(points: Sequence[AnyPoint]) -> list[AnyPoint]:
    """The same points in reduced cells; those that share a cell still do."""
    cells = {id(point.cell): point.cell for point in points}
    sent: dict[int, Any] = {key: reduced(cell) for key, cell in cells.items()}
    return [point._replace(cell=sent[id(point.cell)]) for point in points]


def _plain(driver: Driver) -> PushPullDriver:
    output = driver.push_pull()
    return PushPullDriver(**{name: getattr(output, name) for name in PushPullDriver.model_fields})


def run_chunk(
    points: Sequence[AnyPoint], relative_tolerance: float, deliver: Deliver | None = None
) -> ChunkAnswer:
    """Compute points on one thread.

    A function of the module, so that a process started afresh can be told to call it.

    Args:
        points: of one kind of cell; those that share a cell share the object.
        relative_tolerance: of the integrator.
        deliver: called about twenty times a second with what is finished since, by place in `points`; what it
            raises ends the work, and what is finished is returned.

    Raises:
        BaseException: what a signal handler raised, where there is no `deliver` to ask.
    """
    begin = time.perf_counter()
    cells = {id(point.cell): point.cell for point in points}
    index = {key: k for k, key in enumerate(cells)}
    kind = kind_of(points[0].cell)
    core, raised = kind.run(
        [cell.to_core() for cell in cells.values()],
        [(index[id(point.cell)], *kind.inputs(point)) for point in points],
        settings(relative_tolerance),
        1,
        lambda rows, places: deliver(dict(zip(places, _outcomes(rows), strict=True))) if deliver else None,
    )
    if raised is not None and deliver is None:
        raise raised
    return ChunkAnswer(_outcomes(core), time.perf_counter() - begin, _core.__version__, kind.figure_names)


def _outcomes(core: _core.SweepResult) -> list[Outcome]:
    rows = zip(core.status, core.messages, core.figures, strict=True)
    return [Outcome(status.name, message, figures) for status, message, figures in rows]
