"""What deserves a word before a simulation: unusual values and surprising combinations."""

from __future__ import annotations

from collections.abc import Iterator

from ..circuit.cell import LowSideCell
from ..circuit.diode import Diode
from ..circuit.driver import Driver
from ..circuit.logic_drivers import GateDriverIC, LogicInput, MicrocontrollerPin
from ..circuit.mosfet import Mosfet
from ..circuit.operation import Operation
from ..errors import InputWarning, TopologyWarning
from ..quantities import format_quantity
from .drive import HOT, drive_warnings, loss_warnings
from .floating_gate import floating_gate
from .loads import load_warnings, switched_load_warnings

__all__ = [
    "design_warnings",
    "driver_warnings",
    "floating_gate_warnings",
    "gate_warnings",
    "headroom_warnings",
    "operation_warnings",
    "reverse_voltage_warnings",
]

# Headroom below the rated or breakdown voltage that is usually kept: 20 % (common practice, no source).
_VOLTAGE_HEADROOM = 0.2


def design_warnings(cell: LowSideCell, operation: Operation | None = None) -> list[InputWarning]:
    """Combinations of valid values that will not do what they look like, in an operation if it is known."""
    return [
        *driver_warnings(cell.driver, "driver"),
        *gate_warnings(cell.driver, cell.mosfet, "driver"),
        *floating_gate_warnings(cell.driver, cell.mosfet, cell.bus.voltage, cell.pull_down_resistance, ""),
        *_path_warnings(cell),
        *headroom_warnings(cell.bus.voltage, cell.mosfet),
        *reverse_voltage_warnings(cell.bus.voltage, cell.freewheel, "freewheel"),
        *drive_warnings(cell, operation),
        *load_warnings(cell),
    ]


def operation_warnings(cell: LowSideCell, operation: Operation) -> list[InputWarning]:
    """Ways of operation that do not switch, or that lose more than the description provides for."""
    found = [*loss_warnings(cell, operation), *switched_load_warnings(cell, operation)]
    if not 0.0 < operation.duty < 1.0:
        state = "on" if operation.duty else "off"
        message = f"at {operation.duty:g} the switch stays {state} and nothing switches."
        found.append(InputWarning("duty", message))
    return found


def driver_warnings(driver: Driver, path: str) -> Iterator[InputWarning]:
    """A driver that may not switch; `path` is that of the driver."""
    if isinstance(driver, GateDriverIC):
        if driver.is_locked_out and driver.lockout_threshold is not None:
            given, least = format_quantity(driver.span, "V"), format_quantity(driver.lockout_threshold, "V")
            yield InputWarning(
                f"{path}.supply_voltage",
                f"{given} is below the driver's undervoltage lockout of {least}: it never switches on.",
            )
        for field, possible in driver.unreached_peaks():
            yield InputWarning(
                f"{path}.{field}", f"the output resistance allows only {possible}: it is never reached."
            )
    if not isinstance(driver, LogicInput) or driver.input_threshold is None or driver.logic_level is None:
        return
    if driver.logic_level < driver.input_threshold:
        given, least = (format_quantity(one, "V") for one in (driver.logic_level, driver.input_threshold))
        yield InputWarning(
            f"{path}.logic_level",
            f"{given} is below the driver's input threshold of {least}: it may not switch on.",
        )


def gate_warnings(driver: Driver, mosfet: Mosfet, path: str) -> Iterator[InputWarning]:
    """A gate driven too high or not high enough; `path` is that of the driver."""
    output, limit = driver.push_pull(), mosfet.maximum_gate_voltage
    threshold = mosfet.channel.threshold_voltage
    on_voltage = output.supply_voltage - output.source_drop
    for field, voltage in (("supply_voltage", output.supply_voltage), ("off_voltage", output.off_voltage)):
        if abs(voltage) > limit:
            given, allowed = format_quantity(voltage, "V"), format_quantity(limit, "V")
            yield InputWarning(
                f"{path}.{field}", f"{given} exceeds the MOSFET's rated gate voltage of {allowed}."
            )
    locked_out = isinstance(driver, GateDriverIC) and driver.is_locked_out
    if on_voltage <= threshold and not locked_out:
        given, needed = format_quantity(on_voltage, "V"), format_quantity(threshold, "V")
        yield InputWarning(
            f"{path}.supply_voltage",
            f"the driver reaches {given}, the MOSFET begins to conduct at {needed}: it never switches on.",
        )


def floating_gate_warnings(
    driver: Driver, mosfet: Mosfet, bus: float, pull_down: float | None, prefix: str
) -> Iterator[InputWarning]:
    """A gate that only a microcontroller's pin holds: the pin floats until its program sets it."""
    if not isinstance(driver, MicrocontrollerPin) or pull_down is not None:
        return
    induced = floating_gate(mosfet, bus_voltage=bus).induced_gate_voltage
    least = mosfet.lowest_threshold_voltage(HOT)
    if induced >= least:
        lifted, conducts = (format_quantity(value, "V", 3) for value in (induced, least))
        yield TopologyWarning(
            f"{prefix}pull_down_resistance",
            f"there is none, and while the pin floats, at reset, the rising bus lifts the open gate to "
            f"{lifted}. Parts of this type conduct from {conducts} on when hot. Fit one, 10 kohm say, from "
            "gate to source.",
        )


def _path_warnings(cell: LowSideCell) -> Iterator[InputWarning]:
    """Where the load current goes when the switch opens."""
    breakdown = cell.mosfet.breakdown_voltage
    zeners = {name: getattr(cell, name) for name in ("drain_source_clamp", "drain_gate_clamp")}
    for name, clamp in zeners.items():
        if clamp is None:
            continue
        given = format_quantity(clamp.voltage, "V")
        if clamp.voltage >= breakdown:
            rated = format_quantity(breakdown, "V")
            yield TopologyWarning(name, f"at {given} the MOSFET breaks down first, at {rated}.")
        if clamp.voltage <= cell.bus.voltage:
            bus = format_quantity(cell.bus.voltage, "V")
            yield TopologyWarning(
                name, f"at {given} it conducts whenever the switch is off: the bus is {bus}."
            )
    if cell.has_inductive_load and not cell.commutation_paths:
        yield TopologyWarning(
            "freewheel",
            "an inductive load without a freewheel diode or a clamp drives the MOSFET into breakdown at "
            "every turn-off. Its body diode gives no path: it conducts from source to drain.",
        )


def headroom_warnings(bus: float, mosfet: Mosfet, whose: str = "") -> Iterator[InputWarning]:
    """A bus voltage [V] near or above what a switch stands; `whose` it is, where there are several."""
    breakdown, rating = mosfet.breakdown_voltage, mosfet.drain_voltage_rating
    kind = "breakdown" if mosfet.rated_drain_voltage is None else "rated drain"
    given, rated = format_quantity(bus, "V"), format_quantity(rating, "V")
    if bus >= breakdown:
        highest = format_quantity(breakdown, "V")
        message = f"{given} is above the breakdown voltage of {highest}{whose}: the MOSFET cannot block it."
        yield InputWarning("bus.voltage", message)
    elif bus > rating:
        yield InputWarning("bus.voltage", f"{given} is above the {kind} voltage of {rated}{whose}.")
    elif bus >= rating * (1.0 - _VOLTAGE_HEADROOM):
        message = f"{given} leaves less than 20 % below the {kind} voltage of {rated}{whose}."
        yield InputWarning("bus.voltage", message)


def reverse_voltage_warnings(bus: float, diode: Diode | None, path: str) -> Iterator[InputWarning]:
    """A bus voltage [V] above what the diode at a path stands."""
    rated_diode = diode.repetitive_peak_reverse_voltage if diode else None
    if rated_diode is not None and bus > rated_diode:
        given, rated = format_quantity(bus, "V"), format_quantity(rated_diode, "V")
        yield InputWarning(path, f"the bus of {given} exceeds the diode's rated reverse voltage of {rated}.")
