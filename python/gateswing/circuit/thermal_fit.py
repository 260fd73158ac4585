"""A Foster ladder from points of a thermal impedance curve.

Zth(t) = sum R_k (1 - exp(-t/tau_k)) is fitted in relative terms, since the curve spans decades and its short
end matters for pulses as much as its long end. For given tau the R follow from least squares with R >= 0
(Lawson and Hanson, Solving Least Squares Problems, 1974, from memory); from there all logarithms of R and tau
are improved together.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..errors import InputError, InputProblem
from .thermal import FosterLadder

__all__ = ["FosterFit", "fit_foster"]

Array = NDArray[np.float64]
_MOST_ORDER = 12
# An element that the first guess leaves out starts at this share of the whole resistance.
_LEAST_SHARE = 1e-4


class FosterFit(NamedTuple):
    """A fitted ladder and how well it fits.

    Attributes:
        ladder: the fastest element first.
        largest_error: greatest relative deviation of its Zth from a point of the curve.
    """

    ladder: FosterLadder
    largest_error: float


def fit_foster(times: ArrayLike, impedances: ArrayLike, order: int = 4) -> FosterFit:
    """Fit a ladder to a curve of thermal impedance, as data sheets print it for a single pulse.

    Args:
        times: pulse lengths, shape (n,) [s]; positive, increasing.
        impedances: thermal impedances, shape (n,) [K/W]; positive.
        order: number of elements, at most half the number of points; four suit most data sheets (common
            practice, no source).

    Returns:
        Ladder and largest relative error. Look at the error: the curve may ask for more elements.

    Raises:
        InputError: points that no such curve can have, or too few of them.
    """
    time, impedance = _points(times, impedances, order)
    start = _first_guess(time, impedance, order)
    ladder = _improved(time, impedance, start)
    largest = float(np.abs(ladder.step_response(time) / impedance - 1.0).max())
    return FosterFit(ladder, largest)


def _points(times: ArrayLike, impedances: ArrayLike, order: int) -> tuple[Array, Array]:
    time, impedance = np.asarray(times, dtype=float), np.asarray(impedances, dtype=float)
    problems = [
        InputProblem(name, None, "not a list of finite, positive numbers.")
        for name, values in (("times", time), ("impedances", impedance))
        if values.ndim != 1 or not np.isfinite(values).all() or (values <= 0.0).any()
    ]
    if not problems and time.size != impedance.size:
        reason = f"has {impedance.size} values, but times has {time.size}."
        problems.append(InputProblem("impedances", None, reason))
    if not problems and (np.diff(time) <= 0.0).any():
        problems.append(InputProblem("times", None, "does not increase."))
    most = min(_MOST_ORDER, time.size // 2)
    if not problems and not 1 <= order <= most:
        allowed = f"1 to {most}, with {time.size} points"
        problems.append(InputProblem("order", repr(order), "out of range.", allowed))
    if problems:
        raise InputError(problems)
    return time, impedance


def _first_guess(time: Array, impedance: Array, order: int) -> Array:
    """Logarithms of R, then of tau: time constants spread evenly over the curve."""
    from scipy.optimize import nnls  # type: ignore[import-untyped]

    edges = np.geomspace(time[0], time[-1], order + 1)
    constants = np.sqrt(edges[:-1] * edges[1:])
    shares = -np.expm1(-time[:, None] / constants) / impedance[:, None]
    resistances, _ = nnls(shares, np.ones(time.size))
    least = _LEAST_SHARE * impedance.max()
    return np.asarray(np.log(np.concatenate([np.maximum(resistances, least), constants])))


def _improved(time: Array, impedance: Array, start: Array) -> FosterLadder:
    from scipy.optimize import least_squares

    order = start.size // 2

    def deviation(logarithms: Array) -> Any:
        resistances, constants = np.exp(logarithms[:order]), np.exp(logarithms[order:])
        return -np.expm1(-time[:, None] / constants) @ resistances / impedance - 1.0

    # Time constants beyond the points, and negligible resistances, are not determined: keep them near.
    low = np.concatenate(
        [np.full(order, np.log(1e-9 * impedance.max())), np.full(order, np.log(time[0] / 100))]
    )
    high = np.concatenate(
        [np.full(order, np.log(100 * impedance.max())), np.full(order, np.log(time[-1] * 100))]
    )
    found = least_squares(deviation, start, bounds=(low, high), xtol=1e-14, ftol=1e-14, gtol=1e-14).x
    by_speed = np.argsort(found[order:])
    return FosterLadder(
        resistances=np.exp(found[:order])[by_speed].tolist(),
        time_constants=np.exp(found[order:])[by_speed].tolist(),
    )
