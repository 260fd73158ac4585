"""What a driver has to bear, current, heat and the dip of its supply, and what the bus capacitor holds."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from ..circuit.cell import LowSideCell
from ..circuit.driver import Driver
from ..circuit.logic_drivers import GateDriverIC
from ..circuit.temperature import STATED_TEMPERATURE
from ..figures import format_figure
from ..studies.results import OperatingPoint
from .limit_check import LimitCheck, at_most, rating_or_default, share_of_rise_left, verdict_of

__all__ = [
    "bus_check",
    "driver_checks",
    "driver_current_check",
    "driver_temperature_check",
    "supply_droop",
]

# Of the supply, where no undervoltage lockout bounds the dip; common practice, no source.
_USUAL_DROOP = 0.1


def driver_checks(cell: LowSideCell, marginal: float, point: OperatingPoint) -> Iterator[LimitCheck]:
    """Those ratings of driver and gate resistor that the cell states."""
    driver = cell.driver
    if driver.rated_current is not None:
        peak = float(np.abs(point.waveform.values("i_driver")).max())
        yield driver_current_check("driver_current", driver, driver.rated_current, peak, marginal)
    if driver.thermal_resistance is not None:
        ambient = cell.cooling.ambient if cell.cooling else STATED_TEMPERATURE
        heat = point.driver_loss + point.losses.get("driver at rest", 0.0)
        found = ambient + driver.thermal_resistance * heat
        yield driver_temperature_check("driver_temperature", driver, ambient, found, marginal)
    # Where the switch never turns on, which is judged by itself, nothing is drawn.
    if cell.driver_decoupling is not None and not math.isnan(point.turn_on.gate_charge):
        yield _droop(cell, marginal, point)
    if cell.gate_resistor_rating is not None:
        heat = point.losses.get("gate resistor", 0.0)
        definition = "mean heat in the gate resistor; allowed: its rated power"
        rating = cell.gate_resistor_rating
        yield at_most("gate_resistor_loss", heat, rating, "W", definition, marginal, origin="rating")


def bus_check(cell: LowSideCell, marginal: float, point: OperatingPoint) -> Iterator[LimitCheck]:
    """The ripple that a bulk capacitor leaves on the bus, where there is one that has anything to do."""
    bus, waveform = cell.bus, point.waveform
    if not (bus.bulk_capacitance and (bus.resistance or bus.inductance) and 0.0 < point.duty < 1.0):
        return
    before_off = waveform.begin + point.duty / point.frequency
    figure = float(waveform.value("v_bus", waveform.end) - waveform.value("v_bus", before_off))
    allowed = _USUAL_DROOP * bus.voltage
    reason = ""
    if figure > allowed:
        # The ripple goes with 1/C as long as C holds it, and no further down than its resistance lets it.
        needed = format_figure(bus.bulk_capacitance * figure / allowed, "F", 3)
        falls, most = format_figure(figure, "V", 3), format_figure(allowed, "V", 3)
        reason = f"the bus falls by {falls} during the on-time, {most} are usual; it takes about {needed}."
    definition = "by which the bus falls during the on-time; allowed: a tenth of it"
    yield at_most("bus_ripple", max(figure, 0.0), allowed, "V", definition, marginal, reason, "default")


def driver_current_check(
    name: str, driver: Driver, rating: float, peak: float, marginal: float
) -> LimitCheck:
    """The largest current at a driver's output against its rating, both in A."""
    output = driver.push_pull()
    limits = output.source_current_limit, output.sink_current_limit
    goes_no_further = all(limit is not None and limit <= rating for limit in limits)
    definition = "largest current at the driver's output, either way; allowed: its rating"
    reason = (
        f"the driver's output carries {format_figure(peak, 'A', 3)} at an edge and is rated for "
        f"{format_figure(rating, 'A', 3)}."
        if peak > rating
        else ""
    )
    never = 0.0  # marginal: however small the margin is
    least = never if goes_no_further else marginal
    check = at_most(name, peak, rating, "A", definition, least, reason, "rating")
    return replace(check, keeps_by_itself=goes_no_further)


def driver_temperature_check(
    name: str, driver: Driver, ambient: float, figure: float, marginal: float
) -> LimitCheck:
    """The temperature of a driver in an ambient against its rating, all in K."""
    limit = driver.maximum_temperature
    definition = f"of the driver: {format_figure(ambient, 'K', 3)} around it, and what its losses add"
    margin = float(share_of_rise_left(figure, limit, ambient))
    verdict, origin = verdict_of(margin, marginal), rating_or_default(driver, "maximum_temperature")
    return LimitCheck(name, figure, limit, "K", margin, verdict, definition, origin=origin)


def supply_droop(point: OperatingPoint) -> tuple[float, float, float]:
    """What the turn-on draws from the driver's capacitor: charge [C], peak current [A], its slope [A/s]."""
    edge, waveform = point.turn_on, point.waveform
    times = waveform.times
    within = np.unique(times[(times >= edge.begin) & (times <= edge.end)])
    slope = float(waveform.derivative("i_driver", within).max()) if within.size else math.nan
    return edge.gate_charge, edge.peak_driver_current, slope


def _droop(cell: LowSideCell, marginal: float, point: OperatingPoint) -> LimitCheck:
    driver, capacitor = cell.driver, cell.driver_decoupling
    assert capacitor is not None
    allowed, why, origin = _USUAL_DROOP * driver.supply_voltage, "a tenth of the supply", "default"
    lockout = driver.lockout_threshold if isinstance(driver, GateDriverIC) else None
    if isinstance(driver, GateDriverIC) and lockout is not None and driver.span > lockout:
        allowed, why, origin = driver.span - lockout, "down to the undervoltage lockout", "rating"
    taken = supply_droop(point)
    figure = capacitor.droop(*taken)
    definition = f"bound of the dip of the driver's supply at a turn-on, q/C + R i + L di/dt; allowed: {why}"
    reason = ""
    if figure > allowed:
        needed = capacitor.needed_capacitance(allowed, *taken)
        dips, least = format_figure(figure, "V", 3), format_figure(allowed, "V", 3)
        help_words = (
            f"it takes at least {format_figure(needed, 'F', 3)}"
            if math.isfinite(needed)
            else "the resistance and inductance of the capacitor alone take more than that"
        )
        reason = (
            f"the driver's supply dips by up to {dips} at each turn-on, {least} are allowed; {help_words}."
        )
    return at_most("driver_supply_droop", figure, allowed, "V", definition, marginal, reason, origin)
