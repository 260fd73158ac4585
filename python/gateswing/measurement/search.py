"""From where, and on which way, the unknowns of a capture are looked for.

A ring has many cycles to which a search could lock, so the loop inductance starts from the ring's frequency,
and the edges are fitted first, with the rings blurred; then a few cycles of the rings; in the end all.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import islice
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..errors import InputError, InputProblem
from ..sweeping.progress import Progress
from ..waveforms.alignment import find_event
from .model import BenchModel
from .ring_lock import RingLock
from .timing import Timing

__all__ = ["Found", "searched"]

Floats = NDArray[np.float64]
# Blur and memory [s] of the searches on the way to that over everything.
Way = Sequence[tuple[float, float]]

_TRIED = 8  # designs between the bounds that are looked at before the search, a power of two
_SETTLING = 8  # evaluations to adapt the instrument to each of them
# Blur as a share of the shortest transition and of the ring's period; memory in periods.
_BLUR, _RING_BLUR = 0.4, 0.35
_MEMORIES = (1.5, 5.0, 20.0)
# Relative change of the cost and change of x at which a search ends, and the most evaluations.
_ON_THE_WAY, _LAST = (1e-3, 3e-3, 10), (1e-5, 1e-4, 40)
# By so much of itself a load current that is seen may move on the way, if its gain is not known worse.
_LEAST_WAY = 0.01
_GOOD = 1.5  # sum of squares over the number of samples, below which no other start is tried


class Found(NamedTuple):
    """Where a search ended, and half the sum of the squared residuals there."""

    cost: float
    x: Floats


def searched(model: BenchModel, timing: Timing, starts: int, progress: Progress) -> list[Found]:
    """Ends of the searches, the best first.

    Args:
        model: that is fitted.
        timing: of the capture.
        starts: most searches that are made.
        progress: called after each simulation, with their number and that of the search.

    Raises:
        InputError: no design between the bounds can be simulated.
    """
    found: list[Found] = []
    number = 1
    model.watch = lambda: progress(model.simulations, number)
    lock = RingLock(model, timing)
    for search, (x, way) in enumerate(islice(_attempts(model, timing, lock), starts), 1):
        number = search
        found.append(_refined(model, lock, x, way))
        if found[-1].cost < _GOOD * 0.5 * len(model.samples.times) * len(model.channels):
            break
    if not found:
        raise InputError([InputProblem("unknowns", None, "no design between the bounds can be simulated.")])
    return sorted(found, key=lambda one: one.cost)


def _attempts(model: BenchModel, timing: Timing, lock: RingLock) -> Iterator[tuple[Floats, Way]]:
    """Starts with the way from there: what the caller holds to be true, then some drawn, the best first."""
    blur = _BLUR * timing.transition
    straight = [(blur, math.inf)]
    # The rings blurred, too, then their first cycles, then some more.
    memories = [(0.0, cycles * lock.period) for cycles in _MEMORIES if lock.period]
    careful = [(max(blur, _RING_BLUR * lock.period), math.inf), *memories]
    held = [one.start for one in model.unknowns]
    for values, ways in (([held], [straight, careful]), (_drawn_values(model), [straight])):
        model.look(blur)
        tried = [one for each in values if (one := _settled(model, lock.met(each), timing)) is not None]
        for one in sorted(tried, key=lambda one: one.cost):
            yield from ((one.x, way) for way in ways)


def _refined(model: BenchModel, lock: RingLock, x: Floats, way: Way) -> Found:
    """The end of a search from x on the way described, and then over everything."""
    from scipy.optimize import least_squares  # type: ignore[import-untyped]

    for blur, memory in [*way, (0.0, math.inf)]:
        model.look(blur, memory)
        final = blur == 0.0 and memory == math.inf
        low, high = _limits(model, final)
        cost, step, evaluations = _LAST if final else _ON_THE_WAY
        result = least_squares(
            model.residuals, np.clip(x, low + 1e-9, high - 1e-9), model.slopes, (low, high), x_scale="jac",
            ftol=cost, xtol=step / float(np.linalg.norm(x)), gtol=None, max_nfev=evaluations,
        )  # fmt: skip
        x = np.array(result.x)
        if blur:  # which hides the ring, so that the loop inductance went anywhere
            x[: model.count] = np.log(lock.met(list(np.exp(x[: model.count]))))
    return Found(float(result.cost), x)


def _drawn_values(model: BenchModel) -> list[list[float]]:
    """A Sobol sequence between the bounds by their logarithms, with the load current as measured."""
    from scipy.stats import qmc  # type: ignore[import-untyped]

    cube = qmc.Sobol(model.count, seed=np.random.default_rng(0)).random(_TRIED)
    drawn = [
        [one.low * (one.high / one.low) ** share for one, share in zip(model.unknowns, row, strict=True)]
        for row in cube
    ]
    for values in drawn:
        for place, one in enumerate(model.unknowns):
            if one.path == "current":
                values[place] = one.start
    return drawn


def _settled(model: BenchModel, values: Sequence[float], timing: Timing) -> Found | None:
    """Begin, skews, gains and offsets that suit values of the unknowns best."""
    from scipy.optimize import least_squares

    x = model.start(values, timing.off - timing.on, 0.0)
    try:
        edges = model.simulated(x)
        on, off = (find_event(edges.waveform, "gate", edge).time for edge in (0, 1))
    except InputError:  # it cannot be simulated, or the gate does not switch
        return None
    on_time = edges.on_time + (timing.off - timing.on) - (off - on)
    if on_time <= 0.0:
        return None
    x = model.start(values, on_time, timing.on - on)
    fixed = model.count + 1

    def whole(free: Floats) -> Floats:
        return np.concatenate([x[:fixed], free])

    result = least_squares(
        lambda free: model.residuals(whole(free)), x[fixed:],
        lambda free: model.slopes(whole(free), instrument_only=True)[:, fixed:], x_scale="jac",
        max_nfev=_SETTLING,
    )  # fmt: skip
    return Found(float(result.cost), whole(result.x))


def _limits(model: BenchModel, final: bool) -> tuple[Floats, Floats]:
    """Of x. On the way, a load current stays as it is seen: it would make up for what is wrong."""
    low, high = model.limits()
    paths = [one.path for one in model.unknowns]
    if not final and "i_d" in model.channels and "current" in paths:
        place, reach = paths.index("current"), math.log1p(max(_LEAST_WAY, model.errors.gain))
        seen = math.log(model.unknowns[place].start)
        low[place], high[place] = seen - reach, seen + reach
    return low, high
