"""What the bench's records say: times at equal error, and ratios."""

from __future__ import annotations

import itertools
import math
from typing import Any

__all__ = [
    "ERRORS",
    "best_time",
    "cells",
    "fractions_of_peak",
    "ratios",
    "records_of",
    "solvers_of",
    "time_at",
]

ERRORS = (1e-3, 1e-5)
Record = dict[str, Any]


def records_of(records: list[Record], kind: str, **wanted: Any) -> list[Record]:
    """Return those of a kind, with the values wanted, in their order."""
    return [
        record
        for record in records
        if record["kind"] == kind and all(record.get(key) == value for key, value in wanted.items())
    ]


def cells(records: list[Record]) -> list[str]:
    """Return the names of the cells compared."""
    return [record["cell"] for record in records_of(records, "reference")]


def solvers_of(records: list[Record], **wanted: Any) -> list[str]:
    """Return names in the order in which they were run."""
    return list(dict.fromkeys(record["solver"] for record in records_of(records, "work precision", **wanted)))


def fastest_kernel(records: list[Record]) -> str | None:
    """Return the name of the widest kernel of this machine."""
    return next((record["kernel"] for record in records_of(records, "lanes")), None)


def time_at(records: list[Record], error: float, **wanted: Any) -> float:
    """CPU time [s] in which one solver reaches an error, infinite where it does not.

    The least of all runs with at most that error and of what straight lines on logarithmic axes between
    neighbouring tolerances say.
    """
    curve = [record for record in records_of(records, "work precision", **wanted) if record["error"]]
    times = [record["seconds"] for record in curve if record["error"] <= error]
    for coarse, fine in itertools.pairwise(curve):
        if coarse["error"] > error >= fine["error"]:
            share = math.log(coarse["error"] / error) / math.log(coarse["error"] / fine["error"])
            times.append(coarse["seconds"] * (fine["seconds"] / coarse["seconds"]) ** share)
    return min(times, default=math.inf)


def best_time(records: list[Record], cell: str, family: str, error: float) -> tuple[float, str]:
    """Return the least CPU time [s] of a family's solvers for an error, and whose it is."""
    names = solvers_of(records, cell=cell, family=family)
    return min(
        ((time_at(records, error, cell=cell, solver=name), name) for name in names), default=(math.inf, "")
    )


def fractions_of_peak(records: list[Record]) -> dict[str, float]:
    """Operations per second of the lane kernel over the peak, by cell; the worse of both methods."""
    kernel = fastest_kernel(records)
    fractions: dict[str, float] = {}
    for peak in records_of(records, "peak", kernel=kernel):
        for counted in records_of(records, "arithmetic"):
            for run in records_of(records, "lanes", cell=counted["cell"], kernel=kernel, threads=1):
                if not math.isclose(run["tolerance"], counted["tolerance"]):
                    continue
                rate = counted["operations"] * run["attempts"] / run["cpu_seconds"]
                fraction = rate / peak["operations_per_second"]
                fractions[counted["cell"]] = min(fraction, fractions.get(counted["cell"], math.inf))
    return fractions


def threads_gain(records: list[Record], clock: str) -> dict[str, float]:
    """How much sooner two threads are done than one, by cell: the median over tolerances.

    By the wall clock, which another load of the machine spoils, or by CPU time, which sees what the threads
    cost each other, but not that one waits for the other at the end.
    """
    gains: dict[str, float] = {}
    share = 1.0 if clock == "wall_seconds" else 2.0
    for cell in cells(records):
        runs = records_of(records, "lanes", cell=cell, kernel=fastest_kernel(records))
        one = {run["tolerance"]: run[clock] for run in runs if run["threads"] == 1}
        found = sorted(share * one[run["tolerance"]] / run[clock] for run in runs if run["threads"] == 2)
        if found:
            gains[cell] = found[len(found) // 2]
    return gains


def ratios(records: list[Record]) -> dict[str, float | None]:
    """The figures of merit, each the worst over the cells and both errors; None where a part was left out."""
    kernel = fastest_kernel(records)

    def against(family: str, solver: str | None) -> float | None:
        found = [
            best_time(records, cell, family, error)[0] / time_at(records, error, cell=cell, solver=solver)
            for cell in cells(records)
            for error in ERRORS
        ]
        return min((ratio for ratio in found if math.isfinite(ratio)), default=None)

    steady = sum(record["seconds"] for record in records_of(records, "steady state"))
    brute = sum(record["seconds"] for record in records_of(records, "brute force"))
    return {
        "scalar_vs_best_sundials": against("SUNDIALS", "scalar"),
        "scalar_vs_best_scipy": against("SciPy", "scalar"),
        "scalar_vs_odeint": against("Odeint", "scalar"),
        "lanes_vs_best_sundials": against("SUNDIALS", kernel),
        "lanes_vs_best_scipy": against("SciPy", kernel),
        "two_threads_vs_one": min(threads_gain(records, "wall_seconds").values(), default=None),
        "two_threads_vs_one_cpu": min(threads_gain(records, "cpu_seconds").values(), default=None),
        "steady_state_vs_brute_force": brute / steady if steady else None,
        "fraction_of_peak": min(fractions_of_peak(records).values(), default=None),
    }
