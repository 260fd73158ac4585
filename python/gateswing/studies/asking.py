"""Questions about one cell: its edges, and its operating point."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from .. import _core
from ..circuit.cell import LowSideCell
from ..circuit.operation import Operation
from ..circuit_checks.drive import heat_warnings
from ..circuit_checks.low_side import design_warnings, operation_warnings
from ..core import fill
from ..errors import InputError, InputProblem, InputWarning, issue
from ..model import Model, Quantity, argument, at_least, positive, require_model
from ..ranges import range_warnings
from ..waveforms.waveform import Waveform
from .edges import TurnOff, TurnOn
from .results import CauseLoss, DoublePulse, LedgerEntry, OperatingFigures, OperatingPoint, Statistics

__all__ = ["FOR_A_BRIDGE", "RELATIVE_TOLERANCE", "double_pulse", "operating_point"]

# Error allowed in a step of the integrator, relative to each state's size, where nothing else is asked for.
RELATIVE_TOLERANCE = 1e-6

FOR_A_BRIDGE = "For a half bridge there are half_bridge_point, half_bridge_edges and sweep."
_CURRENT = Quantity("A", "Load current at the edges.", allowed=positive(2e3), usual=at_least(1e-3, 300.0))
_TIME = Quantity("s", "Length of the pulse.", allowed=positive(10.0))
_TOLERANCE = Quantity("", "Relative error allowed in a step.", allowed=at_least(1e-12, 1e-2))


def double_pulse(
    cell: LowSideCell,
    *,
    current: float | str | None = None,
    on_time: float | str | None = None,
    off_time: float | str | None = None,
    relative_tolerance: float = RELATIVE_TOLERANCE,
) -> DoublePulse:
    """Switch the cell on and off at a stated load current, as the second pulse on a double-pulse bench.

    Args:
        cell: the circuit.
        current: in load and freewheel diode at the turn-on [A]; left out: what the load draws when the switch
            stays on. A load without inductance carries none before the turn-on, so it takes no other value.
        on_time: between the commands "on" and "off" [s]; left out: several times the switching time.
        off_time: recorded after the command "off" [s]; left out: several times the switching time.
        relative_tolerance: of the integrator.

    Returns:
        Figures of both edges, energy ledger, waveform. A run that could not finish is returned too: its
        ``status`` says so and its figures are NaN.

    Raises:
        InputError: an argument is out of range, or the circuit has no current to switch.
    """
    result = quiet_double_pulse(
        cell, current=current, on_time=on_time, off_time=off_time, relative_tolerance=relative_tolerance
    )
    issue(result.warnings)
    return result


def quiet_double_pulse(
    cell: LowSideCell,
    *,
    current: float | str | None = None,
    on_time: float | str | None = None,
    off_time: float | str | None = None,
    relative_tolerance: float = RELATIVE_TOLERANCE,
) -> DoublePulse:
    """As :func:`double_pulse`, with the warnings in the result alone: for runs by the dozen, in threads."""
    request = pulse_request(current, on_time, off_time)
    found = input_warnings(cell)
    core = ask(_core.double_pulse, cell.to_core, request, relative_tolerance)
    common = common_members(cell, core, found)
    return DoublePulse(
        **common,
        current=core.current,
        on_time=core.on_time,
        off_time=core.off_time,
        turn_on=TurnOn.from_core(core.turn_on),
        turn_off=TurnOff.from_core(core.turn_off),
    )


def pulse_request(
    current: float | str | None, on_time: float | str | None, off_time: float | str | None
) -> Any:
    """The arguments of a double pulse as a structure of the core.

    Raises:
        InputError: one is out of range.
    """
    return fill(
        _core.DoublePulseRequest(),
        current=optional("current", current, _CURRENT),
        on_time=optional("on_time", on_time, _TIME),
        off_time=optional("off_time", off_time, _TIME),
    )


def operating_point(
    cell: LowSideCell,
    *,
    frequency: float | str,
    duty: float | str,
    relative_tolerance: float = RELATIVE_TOLERANCE,
) -> OperatingPoint:
    """Find the state in which the cell repeats itself every period; report powers, efficiency and peaks.

    With the cell's ``cooling`` the junction temperatures are found too, such that T = ambient + R_th P(T);
    without it they are those that the cell states.

    Args:
        cell: the circuit.
        frequency: switching frequency [Hz].
        duty: share of the period for which the driver is commanded on.
        relative_tolerance: of the integrator.

    Returns:
        Figures, losses by element, and the waveform of one period. A run that could not finish is returned
        too: its ``status`` says so and its figures are NaN. Four more are no success, though there are
        figures: ``not_periodic``, of a cell still on its way to its steady state; ``unstable``, of a state
        that the cell leaves to repeat itself every second period or never; ``thermal_runaway``, of a cell
        whose losses outgrow its cooling or heat it beyond 300 degC, as its message says; ``ringing``, of one
        period of many that differ, since a ring lasts from edge to edge. Junction temperatures are steady
        ones, so all four have none: NaN.

    Raises:
        InputError: an argument is out of range.
    """
    point = quiet_operating_point(cell, frequency=frequency, duty=duty, relative_tolerance=relative_tolerance)
    issue(point.warnings)
    return point


def quiet_operating_point(
    cell: LowSideCell,
    *,
    frequency: float | str,
    duty: float | str,
    relative_tolerance: float = RELATIVE_TOLERANCE,
) -> OperatingPoint:
    """As :func:`operating_point`, with the warnings in the result alone: for searches, in threads."""
    operation = Operation(frequency=frequency, duty=duty)
    request = fill(_core.OperatingPointRequest(), frequency=operation.frequency, duty=operation.duty)
    found = [
        *input_warnings(cell, operation),
        *range_warnings(operation),
        *operation_warnings(cell, operation),
    ]
    core = ask(_core.operating_point, cell.to_core, request, relative_tolerance)
    found += heat_warnings(cell, core.channel_loss, core.mean_load_current)
    return OperatingPoint(**steady_members(cell, core, found, operation) | OperatingFigures.values_in(core))


def input_warnings(cell: LowSideCell, operation: Operation | None = None) -> list[InputWarning]:
    """All that is unusual about a circuit, in the operation where it is known.

    Raises:
        InputError: it is no low-side cell, the one kind that these questions are for.
    """
    require_model("cell", cell, LowSideCell, FOR_A_BRIDGE)
    return range_warnings(cell) + design_warnings(cell, operation)


def settings(relative_tolerance: float) -> _core.Settings:
    """Settings of the integrator.

    Raises:
        InputError: the tolerance is out of range.
    """
    tolerance = argument("relative_tolerance", relative_tolerance, _TOLERANCE)
    return fill(_core.Settings(), relative_tolerance=tolerance)


def optional(name: str, value: object, kind: Quantity) -> float:
    """As argument(); the core writes "choose" as zero."""
    return 0.0 if value is None else argument(name, value, kind)


def ask(question: Any, core_cell: Callable[[], Any], request: Any, relative_tolerance: float) -> Any:
    """The core's answer about the cell that `core_cell` makes.

    Raises:
        InputError: what the core refuses.
    """
    with refusals("cell"):
        return question(core_cell(), request, settings(relative_tolerance))


@contextmanager
def refusals(path: str) -> Iterator[None]:
    """What the core refuses within as an input error at `path`.

    Raises:
        InputError: the core refuses what only the circuit as a whole shows, in a sentence of its own.
    """
    try:
        yield
    except InputError:
        raise
    except ValueError as error:
        raise InputError([InputProblem(path, None, str(error))]) from None


def common_members(cell: Model, core: Any, found: list[InputWarning]) -> dict[str, Any]:
    """The members that every answer has."""
    ledger = tuple(
        LedgerEntry(entry.name, entry.kind.name, entry.energy, getattr(entry, "power", math.nan))
        for entry in core.ledger
    )
    return {
        "cell": cell,
        "status": core.status.name,
        "message": core.message,
        "ledger": ledger,
        "energy_residual": core.energy_residual,
        "charge_residual": core.charge_residual,
        "stats": Statistics(core.statistics.steps, core.statistics.rejections),
        "warnings": tuple(found),
        "waveform": Waveform(core.waveform),
    }


def steady_members(cell: Model, core: Any, found: list[InputWarning], operation: Operation) -> dict[str, Any]:
    """The members that every answer about a steady state has."""
    common = common_members(cell, core, found)
    if common["status"] == "success" and core.outcome is not _core.PeriodicOutcome.periodic:
        common["status"] = core.outcome.name
    return common | {
        "frequency": operation.frequency,
        "duty": operation.duty,
        "runaway": core.runaway,
        "periods": core.periods,
        "periodicity_residual": core.periodicity_residual,
        "causes": tuple(
            CauseLoss(loss.cause, loss.element, loss.energy, loss.energy * operation.frequency)
            for loss in core.causes
        ),
        "corrections": tuple(core.corrections),
        "largest_multiplier": core.largest_multiplier,
        "turn_on": TurnOn.from_core(core.turn_on),
        "turn_off": TurnOff.from_core(core.turn_off),
    }
