"""What a description leaves out counts as zero, which makes the figures that depend on it look better.

A stated zero does the same, and is told as one.

Said where such figures are judged, once for a cell; the studies themselves take a cell as it is. The usual
values in the sentences, and the thresholds, are common practice without a source.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from weakref import WeakValueDictionary

from ..circuit.cell import LowSideCell
from ..circuit.half_bridge import HalfBridgeCell
from ..circuit.operation import BridgeOperation
from ..datasheet import static_figures
from ..errors import InputWarning, TopologyWarning, issue
from ..model import Model
from ..quantities import format_quantity
from .drive import COMPARED_AT

__all__ = ["issue_once", "left_out", "left_out_of_bridge", "loop_left_out", "undamped_ring"]

# A load of less than this many on-resistances is the winding of an inductor and no load.
_LEAST_LOAD = 5.0
_MOST_QUALITY = 40.0  # of a ring on a board
# Cells of which it was said, as long as they are there.
_SAID: WeakValueDictionary[int, Model] = WeakValueDictionary()


def issue_once(cell: LowSideCell | HalfBridgeCell, found: Iterable[InputWarning]) -> None:
    """Pass what is left out of a cell to the standard ``warnings`` module, the first time for that cell."""
    if _SAID.get(id(cell)) is not cell:
        _SAID[id(cell)] = cell
        issue(found)


def left_out(cell: LowSideCell) -> list[InputWarning]:
    """What counts as zero in a low-side cell, and what looks better for it."""
    found = loop_left_out(cell)
    if cell.gate_resistance == 0.0:
        found.append(_no_gate_resistance("gate_resistance", _counts_as(cell, "gate_resistance", "0 ohm")))
    return found


def loop_left_out(cell: LowSideCell | HalfBridgeCell) -> list[InputWarning]:
    """A power loop without any inductance outside the packages."""
    if cell.loop_inductance + cell.bus.loop_inductance > 0.0:
        return []
    message = (
        f"{_counts_as(cell, 'loop_inductance', '0 H')}: overshoot, ringing and peak current come out too "
        "small. Common are 2 to 10 nH for a tight board, 10 to 50 nH for one made by hand, 100 nH and more "
        "for wires."
    )
    return [InputWarning("loop_inductance", message)]


def undamped_ring(cell: LowSideCell, quality: float) -> list[InputWarning]:
    """A ring that lasts as none on a board does, for want of a resistance; NaN is the Q of no ring."""
    if cell.loop_resistance > 0.0 or not quality > _MOST_QUALITY:
        return []
    message = (
        f"{_counts_as(cell, 'loop_resistance', '0 ohm')}: the ring of the turn-off has a Q of {quality:.0f} "
        "and lasts too long. Common are 5 to 30, by the skin effect in the loop and dielectric losses: "
        "with tens of milliohms it decays as on a board."
    )
    return [InputWarning("loop_resistance", message)]


def left_out_of_bridge(cell: HalfBridgeCell, operation: BridgeOperation) -> list[InputWarning]:
    """What counts as zero in a half bridge, or lacks in one that is operated so."""
    found = loop_left_out(cell)
    bare: dict[str, list[str]] = {}
    for side in ("high", "low"):
        switch = getattr(cell, side)
        if switch.gate_resistance == 0.0:
            said = _counts_as(switch, "gate_resistance", "0 ohm")
            bare.setdefault(said, []).append(f"{side}.gate_resistance")
    found += [_no_gate_resistance(" and ".join(places), said) for said, places in bare.items()]
    return [*found, *_inductor(cell), *_output(cell, operation)]


def _counts_as(part: Model, field: str, zero: str) -> str:
    """That a field is zero, and whether anybody stated it."""
    return f"is {zero}" if field in part.model_fields_set else f"left out, so it counts as {zero}"


def _no_gate_resistance(path: str, said: str) -> InputWarning:
    message = (
        f"{said}: nothing but the driver limits the gate current, and edges, overshoot and the peak current "
        "of the driver are those without a resistor."
    )
    return InputWarning(path, message)


def _inductor(cell: HalfBridgeCell) -> list[InputWarning]:
    load = cell.load
    if load is None or load.inductance > 0.0 or load.constant_current is not None:
        return []
    does = "nothing but resistance lies between switch node and output capacitor"
    if cell.output is None or not cell.output.capacitance:
        does = "the load current jumps with every edge and nothing smooths it"
    message = (
        f"{_counts_as(load, 'inductance', '0 H')}: {does}. A half bridge "
        "drives an inductor, a motor or a winding."
    )
    return [TopologyWarning("load.inductance", message)]


def _output(cell: HalfBridgeCell, operation: BridgeOperation) -> list[InputWarning]:
    """An inductor that ends where nothing takes its current but its own resistance."""
    load = cell.load
    if cell.output is not None or load is None or load.inductance == 0.0:
        return []
    drive = cell.low.driver.push_pull()
    on_resistance = float(
        static_figures.on_resistance(
            cell.low.mosfet, drive.supply_voltage - drive.source_drop, COMPARED_AT,
            junction_temperature=cell.low.junction_temperature,
        )
    )  # fmt: skip
    if not math.isfinite(on_resistance) or load.resistance >= _LEAST_LOAD * on_resistance:
        return []
    ends = {"ground": 0.0, "bus": 1.0, "midpoint": 0.5}[cell.load_return]
    share = operation.duty if operation.active == "high" else 1.0 - operation.duty
    current = abs(share - ends) * cell.bus.voltage / (load.resistance + on_resistance)
    given, own = (format_quantity(one, "ohm", 2) for one in (load.resistance, on_resistance))
    message = (
        f"left out, and the load's {given} are little beside the {own} of a MOSFET: nothing but them limits "
        f"the mean current, to about {format_quantity(current, 'A', 2)}. If the load is a converter's "
        "inductor, give the output that it feeds."
    )
    return [TopologyWarning("output", message)]
