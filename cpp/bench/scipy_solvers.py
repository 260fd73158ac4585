"""SciPy's stiff solvers on the compiled equations of the bench's cells."""

from __future__ import annotations

import ctypes
import statistics
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

__all__ = ["Equations", "call_overhead", "curves"]

METHODS = ("LSODA", "BDF", "Radau")
TOLERANCES = (1e-2, 1e-3, 1e-4, 1e-5, 1e-6, 1e-7)
ACCURATE = 1e-5  # error below which a curve needs no further point
LONGEST = 5.0  # of a run that is worth repeating at a tighter tolerance [s]

Record = dict[str, Any]


class Equations:
    """x' = g(x, t) of one cell, g and its Jacobian from the compiled library at `path`."""

    def __init__(self, path: Path, cell: int, size: int) -> None:
        self._library = ctypes.CDLL(str(path))
        self._cell = cell
        self._x, self._g, self._columns = np.zeros(size), np.zeros(size), np.zeros((size, size))
        self._pointers = [ctypes.c_void_p(values.ctypes.data) for values in (self._x, self._g, self._columns)]

    def enter(self, time: float) -> None:
        """Fix the inputs valid from `time` [s] to their next corner."""
        self._library.bench_enter(self._cell, ctypes.c_double(time))

    def rates(self, t: float, x: np.ndarray) -> np.ndarray:
        """Return g, shape (size,)."""
        self._x[:] = x
        self._library.bench_rates(self._cell, ctypes.c_double(t), self._pointers[0], self._pointers[1])
        return self._g.copy()

    def jacobian(self, t: float, x: np.ndarray) -> np.ndarray:
        """Return dg/dx, shape (size, size)."""
        self._x[:] = x
        self._library.bench_jacobian(self._cell, ctypes.c_double(t), self._pointers[0], self._pointers[2])
        return self._columns.T.copy()

    def repeat(self, count: int) -> None:
        """Evaluate g `count` times without coming back."""
        self._library.bench_repeat_rates(
            self._cell, ctypes.c_double(0.0), self._pointers[0], self._pointers[1], count
        )


def call_overhead(equations: Equations, start: np.ndarray) -> tuple[float, float]:
    """CPU time [s] of one evaluation called from Python, and within the library."""
    count = 20_000
    begin = time.process_time()
    for _ in range(count):
        equations.rates(0.0, start)
    called = time.process_time()
    equations.repeat(count)
    return (called - begin) / count, (time.process_time() - called) / count


def curves(equations: Equations, reference: Record) -> Iterator[Record]:
    """Yield records of kind "work precision", one per method and tolerance."""
    for method in METHODS:
        for tolerance in TOLERANCES:
            states, _, seconds, _ = _run(equations, reference, method, tolerance, keeps=True)
            error = _error(states, reference)
            runs = [_run(equations, reference, method, tolerance, keeps=False)]
            while len(runs) < 3 and seconds < 0.5:
                runs.append(_run(equations, reference, method, tolerance, keeps=False))
            yield {
                "kind": "work precision",
                "cell": reference["cell"],
                "family": "SciPy",
                "solver": f"SciPy {method}",
                "tolerance": tolerance,
                "error": error,
                "steps": runs[0][1],
                "evaluations": runs[0][3],
                "rejections": None,
                "seconds": statistics.median(run[2] for run in runs),
            }
            if (error is not None and error < ACCURATE) or seconds > LONGEST:
                break


def _run(
    equations: Equations, reference: Record, method: str, tolerance: float, *, keeps: bool
) -> tuple[list[np.ndarray], int, float, int]:
    """States at the checkpoints, steps, CPU time [s], evaluations of g."""
    state = np.array(reference["start"])
    times = np.array(reference["checkpoints"])
    states: list[np.ndarray] = []
    steps = evaluations = 0
    begin = 0.0
    before = time.process_time()
    for stop in reference["stops"]:
        equations.enter(begin)
        inside = times[(times > begin) & (times <= stop)]
        result = solve_ivp(
            equations.rates,
            (begin, stop),
            state,
            method=method,
            t_eval=inside if keeps else None,
            jac=equations.jacobian,
            rtol=tolerance,
            atol=tolerance,
        )
        if not result.success:
            break
        state = result.y[:, -1]
        states.extend(result.y.T if keeps else [])
        steps += result.t.size - 1
        evaluations += result.nfev
        begin = stop
    return states, steps, time.process_time() - before, evaluations


def _error(states: list[np.ndarray], reference: Record) -> float | None:
    """As work_precision.cpp has it; nothing where the run broke off."""
    wanted = np.array(reference["states"]).reshape(len(reference["checkpoints"]), -1)
    if len(states) < len(wanted):
        return None
    return float(np.max(np.abs(np.array(states) - wanted) / (1.0 + np.abs(wanted))))
