"""Parts that may help in the place of those of a design: MOSFETs and drivers of the library, snubbers."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cache
from typing import TYPE_CHECKING

from ..circuit.cell import LowSideCell, Snubber
from ..circuit.driver import Driver
from ..circuit.half_bridge import HalfBridgeCell
from ..circuit.logic_drivers import GateDriverIC
from ..circuit.mosfet import Mosfet
from ..circuit_checks.drive import COMPARED_AT, HOT
from ..datasheet import static_figures
from ..errors import InputError
from ..library.part_file import Part
from ..library.part_packs import library
from ..quantities import format_quantity
from .proposals import MOST_SNUBBER_LOSS, is_usual

if TYPE_CHECKING:
    from ..choices.ring import RingElements

__all__ = [
    "bridge_snubbers",
    "replacement_text",
    "snubber_text",
    "snubbers",
    "stronger_drivers",
    "wider_mosfets",
]

# Ratings up to this factor of a part's own are of the same voltage class.
_SAME_CLASS = 1.5
# Of the part's own on-resistance, from which another one is worth its place.
_LOWER = 0.8
# Of a driver's own peak currents, likewise.
_STRONGER = 1.25
# Factor between supplies up to which a driver for one runs at the other.
_SAME_SUPPLY = 1.25
# Capacitances of snubbers over that of the ring: the usual one, and one that damps a little better.
_SNUBBER_RATIOS = (3.0, 7.0)


def wider_mosfets(mosfet: Mosfet, *gate_voltages: float) -> list[tuple[str, Mosfet]]:
    """MOSFETs of the library of the same voltage class and lower on-resistance at each gate voltage [V].

    Compared at the lowest of them: the one that is lower by least and the one that is lowest, by name.
    """
    rating = mosfet.drain_voltage_rating
    known = [(name, one) for name, one in _library() if isinstance(one, Mosfet)]
    ratings = [one.drain_voltage_rating for _, one in known]
    of_class = min((one for one in ratings if rating <= one <= _SAME_CLASS * rating), default=None)
    most = [(gate, _LOWER * _on_resistance(mosfet, gate)) for gate in gate_voltages]
    lower = [
        (_on_resistance(one, min(gate_voltages)), name, one)
        for name, one in known
        if one.drain_voltage_rating == of_class
        and max(gate_voltages) <= one.maximum_gate_voltage
        and all(_on_resistance(one, gate) < ohms for gate, ohms in most)
    ]
    lower.sort(key=lambda one: (-one[0], one[1]))
    return [(name, one) for _, name, one in (lower[:1] + lower[1:][-1:])]


def stronger_drivers(driver: Driver) -> list[tuple[str, GateDriverIC]]:
    """Gate-driver ICs of the library at the supply of a driver that are stronger both ways, by name.

    The one that is stronger by least and the strongest; none for a supply that they are not made for.
    """
    supply = driver.supply_voltage
    if driver.push_pull().off_voltage != 0.0:
        return []
    least = [_STRONGER * peak for peak in _peaks(driver)]
    found = []
    for name, one in _library():
        if not isinstance(one, GateDriverIC):
            continue
        if not supply / _SAME_SUPPLY <= one.supply_voltage <= _SAME_SUPPLY * supply:
            continue
        here = one.replace(supply_voltage=supply)
        if all(peak >= wanted for peak, wanted in zip(_peaks(here), least, strict=True)):
            found.append((min(_peaks(here)), name, here))
    found.sort(key=lambda one: (one[0], one[1]))
    return [(name, one) for _, name, one in (found[:1] + found[1:][-1:])]


def snubbers(cell: LowSideCell, frequency: float) -> Iterator[Snubber]:
    """Snubbers across the MOSFET for what rings in a cell, where its power loop is known."""
    if cell.loop_inductance + cell.bus.loop_inductance == 0.0:
        return
    from ..choices.snubber import ring_of

    yield from _sized(ring_of(cell), cell.bus.voltage, frequency, cell.snubber)


def bridge_snubbers(cell: HalfBridgeCell, side: str, frequency: float) -> Iterator[Snubber]:
    """Snubbers across the MOSFET of one side of a bridge, likewise.

    While that one blocks, its output capacitance rings with the inductances of the loop.
    """
    wiring = cell.loop_inductance + cell.bus.loop_inductance
    if wiring == 0.0:
        return
    from ..choices.ring import RingElements

    for part in (cell.high, cell.low):
        wiring += part.common_source_inductance + part.mosfet.drain_inductance + part.mosfet.source_inductance
    switch = getattr(cell, side)
    capacitance = float(switch.mosfet.capacitances(0.0, cell.bus.voltage)["coss"])
    yield from _sized(RingElements(wiring, capacitance), cell.bus.voltage, frequency, switch.snubber)


def replacement_text(
    kind: str, name: str, after: Mosfet | Driver, before: Mosfet | Driver, detail: str = ""
) -> str:
    """The change from one part to another in words; `name` is that of the new one in the library."""
    old = f"this one ({before.name})" if before.name else "this one"
    return f"the {kind} {name} ({after.name}){detail} in place of {old}"


def snubber_text(before: Snubber | None, after: Snubber, owner: str) -> str:
    """The change in words; `owner` is whose MOSFET it is, in words or empty."""
    new = _values(after)
    if before is None:
        return f"a snubber of {new} across the MOSFET{owner}"
    return f"the snubber{owner} from {_values(before)} to {new}"


def _sized(
    ring: RingElements, voltage: float, frequency: float, present: Snubber | None
) -> Iterator[Snubber]:
    for ratio in _SNUBBER_RATIOS:
        try:
            size = ring.snubber(voltage=voltage, frequency=frequency, capacitance_ratio=ratio)
        except InputError:
            continue  # of a ring beyond anything that is damped
        usual = is_usual("snubber.resistance", size.resistance) and is_usual(
            "snubber.capacitance", size.capacitance
        )
        if usual and size.power <= MOST_SNUBBER_LOSS and size.snubber != present:
            yield size.snubber


def _values(snubber: Snubber) -> str:
    values = (snubber.resistance, "ohm"), (snubber.capacitance, "F")
    return " and ".join(format_quantity(value, unit, 3) for value, unit in values)


@cache
def _library() -> tuple[tuple[str, Part], ...]:
    """MOSFETs and drivers of the package's own library; those of packs depend on what is installed."""
    own = library()
    files = ((name, own.read(name)) for name in own.sources)
    return tuple((name, file.build()) for name, file in files if file.kind != "diode")


def _on_resistance(mosfet: Mosfet, gate_voltage: float) -> float:
    """Hot [ohm]; infinite where the gate does not turn it on."""
    found = float(static_figures.on_resistance(mosfet, gate_voltage, COMPARED_AT, junction_temperature=HOT))
    return math.inf if math.isnan(found) else found


def _peaks(driver: Driver) -> tuple[float, float]:
    """Currents into a short circuit, out of the output and into it [A]."""
    output = driver.push_pull()
    swing = output.supply_voltage - output.off_voltage
    sides = (
        (output.source_drop, output.source_resistance, output.source_current_limit),
        (output.sink_drop, output.sink_resistance, output.sink_current_limit),
    )
    source, sink = (min((swing - drop) / ohms, limit or math.inf) for drop, ohms, limit in sides)
    return source, sink
