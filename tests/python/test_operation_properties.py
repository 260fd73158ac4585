"""Laws that any cell's operation must obey: invariance to scales of time and current, what must rise or fall.

GATESWING_PROPERTIES=all tries many cells, else a few.
"""

import math
import os
import warnings
from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

import gateswing as gs

MANY = os.environ.get("GATESWING_PROPERTIES") == "all"
# Without shrinking: a point takes a second, and the case is printed whole.
SOME = settings(
    derandomize=True, max_examples=50 if MANY else 2, deadline=None, phases=[Phase.explicit, Phase.generate]
)
FREQUENCY = 100e3

# By how many powers of the scale a quantity of that unit grows.
SLOWER = {"s": 1, "H": 1, "F": 1}
STRONGER = {"A": 1, "A/V^2": 1, "F": 1, "ohm": -1, "H": -1, "K/W": -1}


@pytest.fixture(autouse=True)
def scaled_cells_may_be_unusual() -> Iterator[None]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", gs.InputWarning)
        yield


def spread(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers of every decade between two."""
    return st.floats(math.log(low), math.log(high)).map(math.exp)


@st.composite
def cells(draw: st.DrawFn) -> gs.LowSideCell:
    """A 48 V stage of a few ampere, with what rings and recovers in it."""
    return gs.LowSideCell(
        bus="48 V",
        mosfet=gs.part("standard-100V").replace(
            source_inductance=draw(spread(0.2e-9, 8e-9)), internal_gate_resistance=draw(st.floats(0.5, 4.0))
        ),
        driver=gs.PushPullDriver(
            supply_voltage=draw(st.floats(9.0, 15.0)),
            source_resistance=draw(spread(0.5, 10.0)),
            sink_resistance=draw(spread(0.5, 10.0)),
            source_current_limit=draw(st.none() | spread(0.5, 5.0)),
            rise_time=draw(spread(2e-9, 30e-9)),
            fall_time=draw(spread(2e-9, 30e-9)),
            turn_on_delay=20e-9,
            turn_off_delay=20e-9,
        ),
        gate_resistance=draw(spread(3.0, 30.0)),
        gate_inductance=draw(spread(2e-9, 20e-9)),
        load=gs.Load(resistance=draw(st.floats(4.0, 20.0)), inductance=draw(spread(50e-6, 5e-3))),
        freewheel=gs.Diode(
            forward_voltage=0.9,
            forward_current="6 A",
            capacitance=gs.DepletionCapacitance(
                zero_bias="300 pF", potential=0.7, grading=0.45, floor="10 pF"
            ),
            inductance=draw(spread(1e-9, 10e-9)),
            transit_time=20e-9,
            lifetime=draw(spread(30e-9, 200e-9)),
        ),
        loop_inductance=draw(spread(5e-9, 50e-9)),
        loop_resistance=10e-3,
        snubber=gs.Snubber(resistance="10 ohm", capacitance="1 nF"),
    )


DUTIES = st.floats(0.2, 0.8)


def scaled(cell: gs.LowSideCell, scale: float, powers: dict[str, int]) -> gs.LowSideCell:
    """Every quantity of the cell times the power of `scale` that belongs to its unit."""
    return cell.replace(
        {
            path: value * scale ** powers[kind.unit]
            for path, value, kind in cell.quantities()
            # A list, as of a thermal impedance, is only replaced as a whole.
            if kind.unit in powers and math.isfinite(value) and not path[-1].isdigit()
        }
    )


def point_of(cell: gs.LowSideCell, duty: float, frequency: float = FREQUENCY) -> gs.OperatingPoint:
    point = gs.operating_point(cell, frequency=frequency, duty=duty, relative_tolerance=1e-5)
    assert point.succeeded, point.message
    return point


@SOME
@given(cells(), DUTIES, st.sampled_from([0.25, 0.5, 4.0]))
def test_slowing_everything_down_changes_times_alone(cell: gs.LowSideCell, duty: float, scale: float) -> None:
    """L, C, charges and delays times k, the frequency divided by k: the same voltages at k times the time.

    With a power of two the integrator's roundings are the same too: the same steps to the last digit.
    """
    here = point_of(cell, duty)
    there = point_of(scaled(cell, scale, SLOWER), duty, FREQUENCY / scale)
    assert there.waveform.times.tolist() == (here.waveform.times * scale).tolist()
    for name in here.waveform.units:
        values, wanted = there.waveform.values(name), here.waveform.values(name)
        assert values == pytest.approx(wanted, rel=0.0, abs=1e-10 * np.abs(wanted).max()), name
    assert there.total_loss == pytest.approx(here.total_loss, rel=1e-10)
    assert there.turn_off.fall_time == pytest.approx(here.turn_off.fall_time * scale, rel=1e-10)
    assert there.turn_on.energy == pytest.approx(here.turn_on.energy * scale, rel=1e-10)


@SOME
@given(cells(), DUTIES, spread(0.2, 5.0))
def test_stronger_currents_and_conductances_change_no_voltage(
    cell: gs.LowSideCell, duty: float, scale: float
) -> None:
    """Currents, conductances, C times s; resistances, L divided by s: same voltages, s times the power."""
    here = point_of(cell, duty)
    there = point_of(scaled(cell, scale, STRONGER), duty)
    assert there.total_loss == pytest.approx(scale * here.total_loss, rel=1e-4)
    assert there.efficiency == pytest.approx(here.efficiency, rel=1e-5)
    assert there.overshoot == pytest.approx(here.overshoot, rel=1e-3)
    assert there.turn_on.rise_time == pytest.approx(here.turn_on.rise_time, rel=1e-3)
    assert there.turn_off.energy == pytest.approx(scale * here.turn_off.energy, rel=1e-3)


@SOME
@given(cells(), DUTIES, st.floats(0.01, 2.5))
def test_a_later_command_changes_no_figure(cell: gs.LowSideCell, duty: float, periods: float) -> None:
    delay = 20e-9 + periods / FREQUENCY
    here = point_of(cell, duty)
    there = point_of(cell.replace(driver__turn_on_delay=delay, driver__turn_off_delay=delay), duty)
    assert there.total_loss == pytest.approx(here.total_loss, rel=1e-4)
    assert there.overshoot == pytest.approx(here.overshoot, rel=1e-3)
    assert there.turn_on.rise_time == pytest.approx(here.turn_on.rise_time, rel=1e-3)
    assert there.turn_off.energy == pytest.approx(here.turn_off.energy, rel=1e-3)


def switching_loss(point: gs.OperatingPoint) -> float:
    """Heat of both edges in MOSFET and freewheel diode [W]."""
    causes = ("turn_on", "turn_off", "output_capacitance", "recovery")
    return sum(point.losses_by_cause.get(cause, 0.0) for cause in causes)


@SOME
@given(cells(), DUTIES, st.floats(1.2, 4.0))
def test_switching_loss_rises_with_gate_resistance(cell: gs.LowSideCell, duty: float, factor: float) -> None:
    """With a diode that does not recover: a slower edge leaves it less charge, which may count more."""
    cell = cell.replace(
        load=gs.Load(constant_current="4 A"), freewheel__transit_time=0.0, freewheel__lifetime=0.0
    )
    losses = [
        switching_loss(point_of(cell.replace(gate_resistance=cell.gate_resistance * k), duty))
        for k in (1.0, factor)
    ]
    assert losses[1] > losses[0]


@SOME
@given(cells(), DUTIES, st.floats(1.2, 3.0))
def test_switching_loss_is_in_proportion_to_frequency(
    cell: gs.LowSideCell, duty: float, factor: float
) -> None:
    """At the same current, and while both edges have settled before the next."""
    cell = cell.replace(load=gs.Load(constant_current="4 A"))
    losses = [switching_loss(point_of(cell, duty, frequency)) for frequency in (50e3, factor * 50e3)]
    assert losses[1] == pytest.approx(factor * losses[0], rel=0.02)


def turn_off_at(cell: gs.LowSideCell, resistance: float, current: float) -> gs.TurnOff:
    edges = gs.double_pulse(cell.replace(gate_resistance=resistance), current=current, on_time="5 us")
    assert edges.succeeded
    return edges.turn_off


@SOME
@given(cells(), st.floats(2.0, 8.0), st.floats(1.3, 4.0))
def test_overshoot_falls_with_gate_resistance_where_the_gate_sets_the_edge(
    cell: gs.LowSideCell, current: float, factor: float
) -> None:
    """Where the drain rises more slowly than it rings, and than the load current alone would lift it.

    Faster, the channel is off before the drain has risen: then the overshoot is that of a current cut off at
    once, or of the breakdown, whatever the resistance, and goes up and down with the phase in which the ring
    is struck.
    """
    fastest = turn_off_at(cell, 1.0, current)
    slowest = 1.5 * max(fastest.fall_time, 1.0 / fastest.ring_frequency)
    resistance = 2.0
    while (slow := turn_off_at(cell, resistance, current)).fall_time < slowest:
        resistance *= 1.5
    assert turn_off_at(cell, factor * resistance, current).overshoot < slow.overshoot


def trend_edges(bus: float, current: float, node_capacitance: float = 0.0) -> gs.DoublePulse:
    """Of an invented 650 V stage; its C_GD hardly depends on the voltage, as the trends take it."""
    little = gs.DepletionCapacitance(zero_bias=12e-12, potential=0.8, grading=0.5, floor=10e-12)
    junction = gs.DepletionCapacitance(
        zero_bias=1e-9, potential=0.8, grading=0.45, floor=30e-12 + node_capacitance
    )
    cell = gs.LowSideCell(
        bus=bus,
        mosfet=gs.part("standard-650V-planar-to220").replace(
            gate_drain_capacitance=little, gate_drain_step=None, drain_source_step=None
        ),
        driver=gs.PushPullDriver(
            supply_voltage=15,
            off_voltage=-5,
            source_resistance=0.5,
            sink_resistance=0.5,
            rise_time=5e-9,
            fall_time=5e-9,
        ),
        gate_resistance=30,
        load=gs.Load(constant_current=current),
        freewheel=gs.Diode(forward_voltage=1.5, forward_current=20, capacitance=junction),
        loop_inductance=15e-9,
    )
    return gs.double_pulse(cell)


def current_rise(edges: gs.DoublePulse) -> float:
    """Of the channel from 10 to 90 % of the load current at the turn-on [s]."""
    times = np.linspace(edges.turn_on.begin, edges.turn_on.drain_end, 20_001)
    current = edges.waveform.value("i_channel", times)
    first, last = (times[np.argmax(current > share * edges.current)] for share in (0.1, 0.9))
    return float(last - first)


def test_the_trends_of_a_measured_double_pulse_hold() -> None:
    """S. S. Ahmad and G. Narayanan, NPEC 2017, 319-324, measured at 800 V and 50 A; here as signs.

    Current times hardly depend on the bus and grow with the current; voltage times grow with the bus; the
    drain rises much more slowly at low current; capacitance at the node raises Eon and lowers Eoff.
    """
    low, high = (trend_edges(bus, 10.0) for bus in (200.0, 400.0))
    small, large = (trend_edges(400.0, current) for current in (1.0, 20.0))
    loaded = trend_edges(400.0, 10.0, node_capacitance=100e-12)
    assert current_rise(high) == pytest.approx(current_rise(low), rel=0.1)
    assert current_rise(large) > 1.2 * current_rise(high)
    assert high.turn_on.rise_time > 1.3 * low.turn_on.rise_time
    assert high.turn_off.fall_time > 1.3 * low.turn_off.fall_time
    assert small.turn_off.fall_time > 3.0 * high.turn_off.fall_time
    assert loaded.turn_on.energy > high.turn_on.energy
    assert loaded.turn_off.energy < high.turn_off.energy
