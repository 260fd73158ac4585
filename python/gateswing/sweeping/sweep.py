"""Steady states over frequency, duty cycle and any fields of the cell, here or on other machines."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterable, Mapping
from concurrent.futures import Executor
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal, TypedDict

import numpy as np

from .. import _core
from ..circuit.cell import LowSideCell
from ..circuit.half_bridge import HalfBridgeCell
from ..errors import InputError, InputWarning, issue
from ..model import by_path
from ..studies.asking import settings
from ..studies.bridge_point import HalfBridgePoint
from ..studies.results import OperatingPoint
from ..threads import thread_count
from .axes import AxisValues, Plan, plan_of
from .chunk import DONE, Outcome, run_chunk
from .cost import SweepCost
from .dataset import dataset_of, kind_in, origin_of, points_of, tolerances_of, with_outcomes
from .kinds import AnyPoint
from .progress import Progress, progress_of
from .run import LOST, compute, crew_of
from .store import PointStore, StoreError, point_keys

if TYPE_CHECKING:
    import pandas as pd
    import xarray as xr

__all__ = [
    "JobOptions",
    "SweepCost",
    "SweepInterrupted",
    "SweepJob",
    "failed",
    "point_of",
    "retry",
    "run_plan",
    "sweep",
    "sweep_cost",
]

_INVALID = _core.PointStatus.invalid.name
# A number with its unit, as in "0.05 ohm".
_NUMBER = re.compile(r"-?\d[\d.e+-]*(?: \w+)?")


class SweepInterrupted(KeyboardInterrupt):
    """Ctrl-C during a sweep. ``partial`` has the finished points; the others are NaN, status "not_run"."""

    def __init__(self, partial: xr.Dataset) -> None:
        self.partial = partial
        super().__init__(
            "the sweep was interrupted; .partial has the finished points, and so has its store, if any: the "
            "same call continues from there"
        )


class JobOptions(TypedDict, total=False):
    """How a sweep is computed; the arguments of :func:`sweep` of the same names."""

    threads: int | None
    executor: Executor | None
    store: str | Path | None
    progress: Progress | bool | None
    relative_tolerance: float


@dataclass(frozen=True)
class SweepJob:
    """The options with their defaults, checked."""

    threads: int | None = None
    executor: Executor | None = None
    store: str | Path | None = None
    progress: Progress | bool | None = None
    relative_tolerance: float = 1e-6

    def __post_init__(self) -> None:
        settings(self.relative_tolerance)
        thread_count(self.threads)

    def open_store(self) -> AbstractContextManager[PointStore | None]:
        """The store, or nothing to keep points in."""
        return nullcontext() if self.store is None else PointStore(self.store)


def sweep(
    cell: LowSideCell | HalfBridgeCell,
    *,
    frequency: AxisValues | float | str | None = None,
    duty: AxisValues | float | str | None = None,
    dead_time: AxisValues | float | str | None = None,
    active: Literal["high", "low"] | None = None,
    axes: Mapping[str, AxisValues] | None = None,
    zip_axes: Mapping[str, Mapping[str, AxisValues]] | None = None,
    threads: int | None = None,
    executor: Executor | None = None,
    store: str | Path | None = None,
    progress: Progress | bool | None = None,
    relative_tolerance: float = 1e-6,
    **fields: AxisValues,
) -> xr.Dataset:
    """Operating points, or half-bridge points, over all combinations of the given values.

    An axis is a list of numbers, or a mapping of names to anything that the field takes, also whole parts:
    ``mosfet={"A": fet_a, "B": fet_b}``, ``snubber={"none": None, "1 nF": gs.Snubber(...)}``.

    Args:
        cell: the circuit; its own values hold where no axis says otherwise.
        frequency: switching frequencies [Hz].
        duty: duty cycles; of a half bridge those of the active switch.
        dead_time: of a half bridge [s].
        active: of a half bridge the switch whose duty is stated; left out: ``high``.
        axes: further axes by dotted path, ``{"mosfet.source_inductance": ["1 nH", "5 nH"]}``.
        zip_axes: dimensions along which several fields change together, by the name of the dimension:
            ``{"board": {"loop_inductance": ["5 nH", "20 nH"], "gate_inductance": ["3 nH", "10 nH"]}}``.
            Frequency, duty and dead time may be among them.
        threads: how many to use; left out: one for each processor.
        executor: computes in place of threads: any ``concurrent.futures.Executor``, such as a process pool,
            ``Client.get_executor()`` of dask.distributed, or ``MPIPoolExecutor`` of mpi4py.futures.
        store: file that keeps every finished point at once. Points it has already are not computed again.
        progress: called now and then with the number of points finished and the number of all; left out: a
            bar in a terminal or notebook; ``False``: none.
        relative_tolerance: of the integrator.
        fields: further axes by keyword, ``__`` for the dot: ``gate_resistance=[4.7, 10]``.

    Returns:
        A dataset with one dimension for each axis, the dot of a path written as ``__``. Each figure is a
        variable with ``units`` and ``long_name``; ``status`` says for each point whether there is an
        answer: ``done``, ``not_periodic``, ``ringing``, ``unstable``, ``thermal_runaway``, ``failed``,
        ``invalid``, ``lost`` with its worker, or ``not_run``, with the reason in ``message``. A point without
        an answer is NaN.

    Raises:
        InputError: a value is out of range, or there is no such field.
        StoreError: the store cannot be used, or the disk is full; ``partial`` keeps the finished points.
        SweepInterrupted: Ctrl-C; the exception and the store keep the finished points.
        BaseException: whatever `progress`, the executor or a signal handler raises ends the sweep.
    """
    job = SweepJob(threads, executor, store, progress, relative_tolerance)
    operation = {"frequency": frequency, "duty": duty, "dead_time": dead_time}
    plan = plan_of(cell, operation, by_path(axes or {}, fields), zip_axes or {}, active)
    return run_plan(plan, job)


def run_plan(plan: Plan, job: SweepJob) -> xr.Dataset:
    """The dataset of a plan."""
    points, outcomes = _usable(plan)
    error = _run(points, job, outcomes)
    dataset = dataset_of(plan, outcomes, job.relative_tolerance)
    _raise(error, dataset)
    return dataset


def sweep_cost(
    cell: LowSideCell | HalfBridgeCell,
    *,
    frequency: AxisValues | float | str | None = None,
    duty: AxisValues | float | str | None = None,
    dead_time: AxisValues | float | str | None = None,
    active: Literal["high", "low"] | None = None,
    axes: Mapping[str, AxisValues] | None = None,
    zip_axes: Mapping[str, Mapping[str, AxisValues]] | None = None,
    threads: int | None = None,
    store: str | Path | None = None,
    relative_tolerance: float = 1e-6,
    samples: int = 16,
    **fields: AxisValues,
) -> SweepCost:
    """Estimate what :func:`sweep` would take, from a few of its missing points.

    Args:
        cell: as for :func:`sweep`, like all that follow but the last.
        frequency: see there.
        duty: see there.
        dead_time: see there.
        active: see there.
        axes: see there.
        zip_axes: see there.
        threads: see there.
        store: see there; it is read, and made if there is none.
        relative_tolerance: see there.
        fields: see there.
        samples: points to compute, spread evenly over those that are missing.

    Raises:
        InputError: a value is out of range, or there is no such field.
        StoreError: the store cannot be used.
    """
    job = SweepJob(threads, None, store, False, relative_tolerance)
    operation = {"frequency": frequency, "duty": duty, "dead_time": dead_time}
    plan = plan_of(cell, operation, by_path(axes or {}, fields), zip_axes or {}, active)
    points, outcomes = _usable(plan)
    with job.open_store() as opened:
        missing, _ = _missing(points, job, opened, outcomes)
    chosen = (
        [missing[place] for place in np.linspace(0, len(missing) - 1, samples).astype(int)] if missing else []
    )
    sampled = [points[number] for number in dict.fromkeys(chosen)]
    time = run_chunk(sampled, relative_tolerance).seconds / len(sampled) if sampled else float("nan")
    return SweepCost(len(plan), len(plan) - len(missing), time, thread_count(threads))


def failed(dataset: xr.Dataset) -> pd.DataFrame:
    """The points of a sweep without an answer to rely on: their coordinates, status and message."""
    table = dataset[["status", "message"]].to_dataframe().reset_index()
    return table[table["status"] != DONE].reset_index(drop=True)


def retry(
    dataset: xr.Dataset,
    *,
    threads: int | None = None,
    executor: Executor | None = None,
    store: str | Path | None = None,
    progress: Progress | bool | None = None,
    relative_tolerance: float | None = None,
) -> xr.Dataset:
    """Compute the points of a sweep anew that have no answer; return the dataset with what became of them.

    Args:
        dataset: of :func:`sweep`, or a selection of it, also read back from a file.
        threads: as for :func:`sweep`.
        executor: as for :func:`sweep`.
        progress: as for :func:`sweep`.
        store: as for :func:`sweep`; what it has on these points is replaced.
        relative_tolerance: of the integrator; left out: that of the sweep. Another one is kept beside the
            points, in the coordinate ``relative_tolerance``.

    Raises:
        InputError: the dataset is not of a sweep, or an argument is out of range.
        StoreError, SweepInterrupted: as :func:`sweep`.
    """
    tolerance = relative_tolerance
    if tolerance is None:
        tolerance = float(origin_of(dataset)["relative_tolerance"])
    job = SweepJob(threads, executor, store, progress, tolerance)
    wanted = np.flatnonzero(dataset["status"].values.ravel() != DONE).tolist()
    found = dict(zip(wanted, points_of(dataset, wanted), strict=True))
    points = {number: point for number, point in found.items() if not isinstance(point, InputError)}
    outcomes: dict[int, Outcome] = {}
    error = _run(points, job, outcomes, anew=True)
    result = with_outcomes(dataset, outcomes, tolerance)
    _raise(error, result)
    return result


def point_of(dataset: xr.Dataset) -> OperatingPoint | HalfBridgePoint:
    """The one point that a dataset has been selected down to, computed again with losses and waveform.

    A point always comes out the same, so a sweep need not keep its waveforms.

    Args:
        dataset: of :func:`sweep`, for example ``table.sel(frequency=1e5, duty=0.5, gate_resistance=10)``.

    Raises:
        InputError: the dataset is not of a sweep, or its values do not go together.
        ValueError: it has more than one point.
    """
    if dataset["status"].size != 1:
        raise ValueError(f"the dataset has {dataset['status'].size} points; select down to one")
    (point,) = points_of(dataset, [0])
    if isinstance(point, InputError):
        raise point
    answer = kind_in(origin_of(dataset)).answer
    return answer(**point._asdict(), relative_tolerance=float(tolerances_of(dataset)[0]))


def _usable(plan: Plan) -> tuple[dict[int, AnyPoint], dict[int, Outcome]]:
    """The points that can be built, and the others' outcomes; what is unusual about them is warned of."""
    points: dict[int, AnyPoint] = {}
    outcomes: dict[int, Outcome] = {}
    nothing = np.full(len(plan.kind.figures), np.nan)
    for number, point in enumerate(plan.points()):
        if isinstance(point, InputError):
            outcomes[number] = Outcome(_INVALID, str(point), nothing)
            refusal = point
        else:
            points[number] = point
    if outcomes and not points:
        raise refusal
    cells = {id(point.cell): point.cell for point in points.values()}
    _warn(one for cell in cells.values() for one in plan.kind.warnings(cell))
    return points, outcomes


def _warn(found: Iterable[InputWarning]) -> None:
    """Of warnings that differ in their numbers alone only the first: many pieces have many values."""
    by_sentence: dict[tuple[str, str], InputWarning] = {}
    for warning in found:
        by_sentence.setdefault((warning.path, _NUMBER.sub("", warning.message)), warning)
    issue(by_sentence.values())


def _missing(
    points: Mapping[int, AnyPoint], job: SweepJob, store: PointStore | None, outcomes: dict[int, Outcome]
) -> tuple[list[int], dict[int, bytes]]:
    """Numbers of the points that the store has not, and digests by number; what it has goes to `outcomes`."""
    if store is None:
        return list(points), {}
    digests = point_keys(list(points.values()), job.relative_tolerance)
    keys = dict(zip(points, digests, strict=True))
    found = store.find(digests)
    outcomes |= {number: found[key] for number, key in keys.items() if key in found}
    return [number for number, key in keys.items() if key not in found], keys


def _run(
    points: Mapping[int, AnyPoint], job: SweepJob, outcomes: dict[int, Outcome], anew: bool = False
) -> BaseException | None:
    """Put the outcome of every point into `outcomes`; return what ended this early, or ``None``."""
    with job.open_store() as store:
        missing, keys = _missing(points, job, store, {} if anew else outcomes)
        if anew:
            missing = list(points)
        others = len(outcomes)

        def keep(finished: Mapping[int, Outcome]) -> None:
            outcomes.update(finished)
            if store is not None:
                store.keep({keys[number]: one for number, one in finished.items() if one.status != LOST})

        total = others + len(missing)
        with progress_of(job.progress, total, others) as report, crew_of(job.executor, job.threads) as crew:
            work = {number: points[number] for number in missing}
            return compute(work, crew, job.relative_tolerance, keep, lambda: report(len(outcomes), total))


def _raise(error: BaseException | None, dataset: xr.Dataset) -> None:
    if isinstance(error, KeyboardInterrupt):
        raise SweepInterrupted(dataset) from None
    if isinstance(error, StoreError):
        error.partial = dataset
    if error is not None:
        raise error
    lost = int((dataset["status"] == LOST).sum())
    if lost:
        text = f"{lost} points were lost with their workers; gateswing.retry computes them anew."
        warnings.warn(text, RuntimeWarning, stacklevel=4)
