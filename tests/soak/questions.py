"""What is asked of one drawn design, and what an answer must hold to.

A design is that of `test_random_operating_points.py` (the ranges that users bring), every third with a load
of `test_loads.py` in place of its own.
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

import gateswing as gs
from test_drawn_loads import drawn_load
from test_random_operating_points import drawn_point

__all__ = ["QUESTIONS", "UnsoundAnswerError", "ask", "drawn_design"]

_TOLERANCE = 1e-5
_LARGEST_RESIDUAL = 1e-4
# Below this share of bus times load current a residual is a share of next to nothing.
_NOTHING = 1e-6


class UnsoundAnswerError(AssertionError):
    """An answer that does not hold together."""


def drawn_design(case: int) -> gs.Design:
    """The design of a number."""
    cell, frequency, duty = drawn_point(case)
    if case % 3 == 0 and cell.freewheel is not None:
        rng = np.random.default_rng([7, case])
        cell = cell.replace(load=drawn_load(rng, cell.bus.voltage))
    operation = gs.Operation(frequency=frequency, duty=duty)
    limits = gs.Limits(maximum_overshoot=0.5 * cell.bus.voltage, minimum_efficiency=0.9)
    return gs.Design(title=f"Drawn design {case}", cell=cell, operation=operation, limits=limits)


def ask(question: str, design: gs.Design) -> str:
    """Ask, and return the status of the answer.

    Raises:
        UnsoundAnswerError: the answer is no answer.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        warnings.simplefilter("ignore", gs.InputWarning)
        return QUESTIONS[question](design)


def _check(design: gs.Design) -> str:
    verdict = gs.check(design)
    _require(bool(repr(verdict)) and bool(verdict.to_mapping()), "a verdict that cannot be told")
    _require(bool(verdict.checks) == verdict.point.succeeded, "judged without an answer, or not with one")
    return _sound(verdict.point, _power(design))


def _operating_point(design: gs.Design) -> str:
    operation = design.operation
    point = gs.operating_point(
        design.cell, frequency=operation.frequency, duty=operation.duty, relative_tolerance=_TOLERANCE
    )
    if point.succeeded:
        lost, causes = point.losses, point.losses_by_cause
        _require(all(map(math.isfinite, [*lost.values(), *causes.values()])), "a loss is no number")
    return _sound(point, _power(design))


def _double_pulse(design: gs.Design) -> str:
    return _sound(gs.double_pulse(design.cell, relative_tolerance=_TOLERANCE), 0.0)


def _bridge(design: gs.Design) -> str:
    """The edges of a half bridge of two of the design's switches, at the current of its load."""
    cell = design.cell
    switch = gs.BridgeSwitch(mosfet=cell.mosfet, driver=cell.driver, gate_resistance=cell.gate_resistance)
    bridge = gs.HalfBridgeCell(bus=cell.bus, high=switch, low=switch, loop_inductance=cell.loop_inductance)
    edges = gs.half_bridge_edges(
        bridge, current=_current(design), dead_time="200 ns", relative_tolerance=_TOLERANCE
    )
    return _sound(edges, 0.0)


QUESTIONS: Mapping[str, Callable[[gs.Design], str]] = {
    "check": _check,
    "double_pulse": _double_pulse,
    "operating_point": _operating_point,
    "half_bridge_edges": _bridge,
}


def _current(design: gs.Design) -> float:
    body = design.cell.mosfet.body_diode
    return float(body.forward_current or 1.0) if body is not None else 1.0


def _power(design: gs.Design) -> float:
    return design.cell.bus.voltage * _current(design)


def _sound(answer: Any, power: float) -> str:
    """The status of an answer that holds together."""
    _require(bool(repr(answer)), "an answer that prints as nothing")
    if not answer.succeeded:
        _require(bool(answer.status) and bool(answer.message), "no answer, and no status or cause")
        return str(answer.status)
    energies = {entry.name: entry.energy for entry in answer.ledger}
    _require(all(map(math.isfinite, energies.values())), f"an energy is no number: {energies}")
    for name in answer.waveform.units:
        finite = np.isfinite(answer.waveform.values(name)).all()
        _require(bool(finite), f"{name} is no number somewhere")
    total = getattr(answer, "total_loss", math.inf)
    if total > _NOTHING * power:
        residual = answer.energy_residual
        _require(residual < _LARGEST_RESIDUAL, f"energy residual {residual:.2g}")
    return "success"


def _require(condition: bool, reason: str) -> None:
    if not condition:
        raise UnsoundAnswerError(reason)
