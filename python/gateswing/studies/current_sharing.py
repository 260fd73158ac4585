"""How MOSFETs in parallel share a current: at rest by conductances, at the edges by which is quicker."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from pydantic import Field

from .. import _core, formulas
from ..circuit.cell import LowSideCell
from ..circuit.gate_path import GATE_RESISTANCE
from ..circuit.mosfet import Mosfet
from ..circuit_checks.drive import on_voltage
from ..core import fill
from ..datasheet import static_figures
from ..errors import InputError, InputProblem, InputWarning, issue
from ..figures import Figures, Meaning, format_figure
from ..model import Model, Quantity, at_least
from .asking import RELATIVE_TOLERANCE, ask, common_members, input_warnings, pulse_request
from .edges import TurnOff, TurnOn
from .results import Answer

__all__ = ["CurrentSharing", "ParallelMosfet", "SharedCurrent", "current_sharing"]

_FEWEST, _MOST = 2, 3  # a fourth has more states and integrals than the core is built for
# Quality of the loop from gate to gate above which it rings for more than a swing or two.
_RINGS = 1.0


def _own_wiring(doc: str) -> Quantity:
    return Quantity("H", doc, allowed=at_least(0.0, 1e-6), usual=at_least(0.1e-9, 100e-9))


class ParallelMosfet(Model):
    """One of several MOSFETs in parallel, with what lies between it and the nodes that all share."""

    mosfet: Annotated[Mosfet, Field(description="The part.")]
    gate_resistance: Annotated[float, GATE_RESISTANCE] = 0.0
    gate_inductance: Annotated[float, _own_wiring("Of its own gate wiring.")] = 0.0
    drain_inductance: Annotated[float, _own_wiring("Of its own drain wiring.")] = 0.0
    source_inductance: Annotated[
        float, _own_wiring("Of its own source wiring, shared by its gate and power loop.")
    ] = 0.0

    def to_core(self, junction_temperature: float) -> Any:
        """The part with everything of its own, at a junction temperature [K], as a structure of the core."""
        core = self.mosfet.to_core(junction_temperature)
        core.internal_gate_resistance += self.gate_resistance
        for name in ("gate_inductance", "drain_inductance", "source_inductance"):
            setattr(core, name, getattr(core, name) + getattr(self, name))
        return core


@dataclass(frozen=True, repr=False)
class SharedCurrent(Figures):
    """What one of the MOSFETs does; energies are heat of its channel over the record of the edge.

    No standard defines these figures; common practice, no source. NaN, printed as a dash: the waveform does
    not show it.
    """

    on_current: Annotated[float, Meaning("A", "into the drain at the end of the on-time")]
    static_share: Annotated[
        float, Meaning("%", "of the current at rest, by hand: its conductance over that of all")
    ]
    turn_on_time: Annotated[float, Meaning("s", "command to half of that current in the channel")]
    turn_off_time: Annotated[
        float, Meaning("s", "command to the last time that the channel carries half of it")
    ]
    peak_turn_on_current: Annotated[float, Meaning("A", "into the drain")]
    peak_turn_off_current: Annotated[float, Meaning("A", "into the drain, from the turn-off command on")]
    turn_on_energy: Annotated[float, Meaning("J", "heat in the channel from the turn-on command on")]
    turn_off_energy: Annotated[float, Meaning("J", "heat in the channel from the turn-off command on")]
    gate_ring_quality: Annotated[
        float, Meaning("", "of its loop through gates and sources, by hand: √(L/C)/R; below 1/2 no ring")
    ]


@dataclass(frozen=True, repr=False)
class CurrentSharing(Answer):
    """One turn-on and one turn-off of MOSFETs in parallel.

    Attributes:
        current: load current at the turn-off [A].
        on_time, off_time: of the pulse [s].
        parts: the MOSFETs with what each has of its own.
        mosfets: what each does, in the same order.
        turn_on, turn_off: figures of the edges, with gate and currents of the first MOSFET.
    """

    cell: LowSideCell
    current: float
    on_time: float
    off_time: float
    parts: tuple[ParallelMosfet, ...]
    mosfets: tuple[SharedCurrent, ...]
    turn_on: TurnOn
    turn_off: TurnOff

    def of_all(self, name: str) -> tuple[float, ...]:
        """One figure of :class:`SharedCurrent` for each MOSFET."""
        return tuple(getattr(one, name) for one in self.mosfets)

    def _sections(self) -> list[tuple[str, list[tuple[str, str, str]]]]:
        at = format_figure(self.current, "A")
        return [
            *(
                (f"MOSFET {k} of {len(self.mosfets)}, {at} in all", one.rows())
                for k, one in enumerate(self.mosfets, 1)
            ),
            ("Trust", self._trust()),
        ]


def current_sharing(
    cell: LowSideCell,
    mosfets: Sequence[ParallelMosfet | Mosfet | str | Mapping[str, Any]],
    *,
    current: float | str | None = None,
    on_time: float | str | None = None,
    off_time: float | str | None = None,
    relative_tolerance: float = RELATIVE_TOLERANCE,
) -> CurrentSharing:
    """Switch a cell on and off whose switch is several MOSFETs in parallel.

    Gate path, wiring and clamps of the cell are common to all; what each has of its own is in its
    :class:`ParallelMosfet`. Spread between parts is what is given: ``gs.part("logic-60V", corner="min")``
    beside ``corner="max"`` is the worst of one type. All have the junction temperature of the cell, so that
    the hotter one's rising on-resistance, which evens the currents out, is left out.

    Args:
        cell: the circuit; these MOSFETs take the place of its own.
        mosfets: two or three of them, each a part alone or with what it has of its own.
        current: in load and freewheel diode at the turn-on [A]; left out: as in a double pulse.
        on_time: between the commands "on" and "off" [s]; left out: several times the switching time.
        off_time: recorded after the command "off" [s]; left out: likewise.
        relative_tolerance: of the integrator.

    Returns:
        Figures of each MOSFET, energy ledger, waveform: ``v_gs``, ``v_ds``, ``i_d`` and ``i_channel`` are
        those of the first, ``v_gs_2`` and so on of the others. A run that could not finish is returned too.

    Raises:
        InputError: an argument is out of range, there are neither two nor three, or the circuit
            has more states than the library is built for.
    """
    parts = tuple(_parallel(one, k) for k, one in enumerate(mosfets))
    if not _FEWEST <= len(parts) <= _MOST:
        raise InputError([InputProblem("mosfets", str(len(parts)), "not that many in parallel.", "2 or 3")])
    whole = cell.replace(mosfet=parts[0].mosfet, cooling=None)
    request = pulse_request(current, on_time, off_time)
    found = [*input_warnings(whole), *_ring_warnings(whole, parts)]
    core = ask(_core.current_sharing, lambda: _to_core(whole, parts), request, relative_tolerance)
    issue(found)
    pulse = core.pulse
    return CurrentSharing(
        **common_members(whole, pulse, found),
        current=pulse.current,
        on_time=pulse.on_time,
        off_time=pulse.off_time,
        parts=parts,
        mosfets=tuple(
            SharedCurrent(
                static_share=share,
                gate_ring_quality=_ring_quality(whole, part),
                **{name: float(getattr(one, name)) for name in SharedCurrent.units() if hasattr(one, name)},
            )
            for one, part, share in zip(
                core.mosfets, parts, _static_shares(whole, parts, pulse.current), strict=False
            )
        ),
        turn_on=TurnOn.from_core(pulse.turn_on),
        turn_off=TurnOff.from_core(pulse.turn_off),
    )


def _parallel(given: ParallelMosfet | Mosfet | str | Mapping[str, Any], number: int) -> ParallelMosfet:
    """A part alone has nothing of its own."""
    try:
        if isinstance(given, ParallelMosfet):
            return given
        if isinstance(given, Mapping) and "mosfet" in given:
            return ParallelMosfet(**given)
        return ParallelMosfet(mosfet=given)
    except InputError as error:
        raise InputError(problem.below(f"mosfets.{number}") for problem in error.problems) from None


def _to_core(cell: LowSideCell, parts: tuple[ParallelMosfet, ...]) -> Any:
    first, *further = (part.to_core(cell.junction_temperature) for part in parts)
    core = fill(cell.to_core(), mosfet=first)
    return fill(_core.ParallelCell(), cell=core, further=further)


def _static_shares(cell: LowSideCell, parts: tuple[ParallelMosfet, ...], current: float) -> tuple[float, ...]:
    """Conductances at the gate voltage that the driver settles at, each over their sum."""
    each = max(abs(current) / len(parts), 1e-6)
    resistances = [
        float(
            static_figures.on_resistance(
                part.mosfet, on_voltage(cell), each, junction_temperature=cell.junction_temperature
            )
        )
        for part in parts
    ]
    conductances = 1.0 / np.asarray(resistances)
    return tuple(float(one) for one in conductances / np.sum(conductances))


def _ring_quality(cell: LowSideCell, part: ParallelMosfet) -> float:
    """Of one gate's half of the loop to another gate: own inductances, input capacitance, own resistance."""
    inductance, capacitance, resistance = _gate_loop(cell, part)
    if resistance == 0.0:
        return math.inf if inductance > 0.0 else 0.0
    return float(formulas.ring_quality(inductance, capacitance, resistance))


def _gate_loop(cell: LowSideCell, part: ParallelMosfet) -> tuple[float, float, float]:
    fet = part.mosfet
    inductance = fet.gate_inductance + fet.source_inductance + part.gate_inductance + part.source_inductance
    capacitance = float(fet.capacitances(0.0, cell.bus.voltage)["ciss"])
    return inductance, capacitance, fet.internal_gate_resistance + part.gate_resistance


def _ring_warnings(cell: LowSideCell, parts: tuple[ParallelMosfet, ...]) -> list[InputWarning]:
    found = []
    for number, part in enumerate(parts):
        if not _ring_quality(cell, part) > _RINGS:
            continue
        inductance, capacitance, resistance = _gate_loop(cell, part)
        frequency = format_figure(float(formulas.resonance_frequency(inductance, capacitance)), "Hz", 2)
        critical = float(formulas.critical_gate_resistance(capacitance, inductance))
        wanted = format_figure(critical - resistance, "ohm", 2)
        found.append(
            InputWarning(
                f"mosfets.{number}.gate_resistance",
                f"from gate to gate there is little resistance in the way of a ring near {frequency}, which "
                f"the gain of the MOSFETs can keep up; a resistor of {wanted} at each gate damps it.",
            )
        )
    return found
