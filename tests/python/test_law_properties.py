"""Properties every device law must have, whatever its parameters: passivity, smoothness, exact integrals."""

import math
from itertools import pairwise
from typing import Any, TypeVar

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad  # type: ignore[import-untyped]

from gateswing import _core
from gateswing.core import fill

Law = TypeVar("Law")
FEW = settings(derandomize=True, max_examples=60, deadline=None)
# Rounding of a few operations at the scale of what is compared.
ROUNDING = 1e-13
# The functions give a number for numbers and an array for arrays; here either is as good.
LAWS: Any = _core


def spread(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers of every decade between two."""
    return st.floats(math.log(low), math.log(high)).map(math.exp)


def law(make: type[Law], **members: st.SearchStrategy[float]) -> st.SearchStrategy[Law]:
    return st.fixed_dictionaries(members).map(lambda values: fill(make(), **values))


def depletion(members: dict[str, float]) -> _core.DepletionCapacitance:
    """The ceiling must exceed the value at zero, so it is drawn as a ratio."""
    ratio = members.pop("ratio")
    return fill(_core.DepletionCapacitance(), **members, ceiling=ratio * members["zero_bias"])


# Ranges of power MOSFETs, diodes and drivers; the numbers are drawn, not anybody's data.
CHANNELS = law(
    _core.MosfetChannel,
    threshold_voltage=st.floats(-5.0, 6.0),
    transconductance_factor=spread(0.5, 1000.0),
    mobility_degradation=st.just(0.0) | spread(1e-3, 0.5),
    subthreshold_voltage=spread(0.025, 0.3),
)
DIODES = law(_core.JunctionDiode, saturation_current=spread(1e-14, 1e-6), emission_voltage=spread(0.025, 0.1))
KNEES = law(
    _core.KneeConduction,
    knee_voltage=st.just(0.0) | spread(0.2, 800.0),
    slope_resistance=spread(1e-3, 10.0),
    knee_width=spread(0.01, 1.0),
)
DRIVERS = law(
    _core.DriverOutput,
    source_resistance=spread(0.1, 300.0),
    sink_resistance=spread(0.1, 300.0),
    inverse_source_limit=st.just(0.0) | spread(0.05, 100.0),
    inverse_sink_limit=st.just(0.0) | spread(0.05, 100.0),
    source_drop=st.just(0.0) | st.floats(0.05, 2.0),
    sink_drop=st.just(0.0) | st.floats(0.05, 2.0),
    drop_width=spread(0.01, 0.2),
    leakage_conductance=st.just(0.0) | spread(1e-9, 1e-3),
)
DEPLETIONS = st.fixed_dictionaries(
    {
        "zero_bias": spread(5e-12, 1e-8),
        "potential": st.floats(0.3, 2.0),
        "grading": st.floats(0.1, 0.95),
        "floor": st.just(0.0) | spread(1e-14, 1e-9),
        "ratio": st.floats(1.05, 20.0),
    }
).map(depletion)
STEPS = law(
    _core.StepCapacitance,
    low=spread(5e-11, 1e-8),
    high=spread(5e-11, 1e-8),
    centre=st.floats(-5.0, 5.0),
    width=spread(0.1, 5.0),
)
CONSTANTS = law(_core.ConstantCapacitance, capacitance=spread(5e-12, 1e-8))
CAPACITANCES = DEPLETIONS | STEPS | CONSTANTS
GATE_VOLTAGES = st.floats(-30.0, 30.0)
VOLTAGES = st.floats(-900.0, 900.0)


def slopes_beside(value: Any, at: float, step: float) -> tuple[float, float, float]:
    """Slopes on the left and on the right of a point to third order, and the jump of the value across it."""
    near = np.array([0.0, 1.0, 2.0, 3.0]) * step
    weights = np.array([-11.0, 18.0, -9.0, 2.0]) / (6.0 * step)
    right, left = float(value(at + near) @ weights), -float(value(at - near) @ weights)
    tiny = 1e-12 * max(1.0, abs(at))
    return left, right, float(value(at + tiny) - value(at - tiny))


@FEW
@given(CHANNELS, GATE_VOLTAGES, VOLTAGES)
def test_a_channel_takes_energy_from_drain_and_source(
    channel: _core.MosfetChannel, v_gs: float, v_ds: float
) -> None:
    assert LAWS.channel_current(channel, v_gs, v_ds) * v_ds >= 0.0
    assert LAWS.channel_current(channel, v_gs, 0.0) == 0.0


@FEW
@given(CHANNELS, GATE_VOLTAGES, VOLTAGES)
def test_a_channel_is_the_same_seen_from_either_end(
    channel: _core.MosfetChannel, v_gs: float, v_ds: float
) -> None:
    # Both ends see the difference v_gs - v_ds, rounded once: exact for the rounded voltage.
    v_gd = v_gs - v_ds
    forward = LAWS.channel_current(channel, v_gs, v_gs - v_gd)
    backward = LAWS.channel_current(channel, v_gd, v_gd - v_gs)
    assert forward == pytest.approx(-backward, rel=1e-9, abs=1e-12)


@FEW
@given(CHANNELS, GATE_VOLTAGES, VOLTAGES, st.floats(0.0, 5.0))
def test_a_channel_carries_more_at_more_gate_or_drain_voltage(
    channel: _core.MosfetChannel, v_gs: float, v_ds: float, more: float
) -> None:
    current = LAWS.channel_current(channel, v_gs, v_ds)
    slack = ROUNDING * abs(current) * 100.0
    assert LAWS.channel_current(channel, v_gs, v_ds + more) >= current - slack
    gained = LAWS.channel_current(channel, v_gs + more, v_ds) - current
    assert gained * v_ds >= -slack * abs(v_ds)


@FEW
@given(DIODES, VOLTAGES)
def test_a_diode_is_passive(diode: _core.JunctionDiode, voltage: float) -> None:
    assert LAWS.diode_current(diode, voltage) * voltage >= 0.0
    assert LAWS.diode_current(diode, 0.0) == 0.0
    assert math.isfinite(LAWS.diode_current(diode, voltage))


@FEW
@given(DIODES)
def test_a_diode_is_smooth_where_its_exponential_ends(diode: _core.JunctionDiode) -> None:
    joint = 50.0 * diode.emission_voltage  # the header of smooth.h
    scale = diode.saturation_current * math.exp(50.0)
    left, right, jump = slopes_beside(
        lambda v: LAWS.diode_current(diode, v), joint, 1e-4 * diode.emission_voltage
    )
    assert abs(jump) < 1e-7 * scale
    assert left == pytest.approx(right, rel=1e-8)
    assert left == pytest.approx(scale / diode.emission_voltage, rel=1e-8)


@FEW
@given(KNEES, VOLTAGES)
def test_a_knee_is_passive(knee: _core.KneeConduction, voltage: float) -> None:
    assert LAWS.knee_current(knee, voltage) * voltage >= 0.0
    assert LAWS.knee_current(knee, 0.0) == 0.0


@FEW
@given(KNEES)
def test_a_knee_is_smooth_across_its_corner(knee: _core.KneeConduction) -> None:
    left, right, jump = slopes_beside(
        lambda v: LAWS.knee_current(knee, v), knee.knee_voltage, 1e-3 * knee.knee_width
    )
    conductance = 1.0 / knee.slope_resistance
    assert abs(jump) < 1e-11 * max(1.0, knee.knee_voltage) * conductance
    assert left == pytest.approx(right, abs=1e-6 * conductance * max(1.0, knee.knee_voltage / 100.0))
    # Half of the final slope in the middle of the corner, by symmetry of the rounded step.
    assert left == pytest.approx(conductance / 2, rel=1e-4)


@FEW
@given(DRIVERS, st.floats(-60.0, 60.0), st.floats(-60.0, 60.0), st.floats(0.0, 1.0))
def test_a_driver_makes_no_energy(driver: _core.DriverOutput, up: float, down: float, command: float) -> None:
    # i u >= 0 with u = b up - (1 - b) down: what supply and reference give less what the output takes.
    source, sink = command / driver.source_resistance, (1.0 - command) / driver.sink_resistance
    share = source / (source + sink)
    drive = share * up - (1.0 - share) * down
    current = LAWS.driver_current(driver, up, down, command)
    assert current * drive >= -ROUNDING * abs(current) * (abs(up) + abs(down))


@FEW
@given(DRIVERS, st.floats(-60.0, 60.0), st.sampled_from([0.0, 1.0]))
def test_a_driver_keeps_its_limits_and_its_direction(
    driver: _core.DriverOutput, across: float, command: float
) -> None:
    up, down = (across, 0.0) if command == 1.0 else (0.0, across)
    sign = 1.0 if command == 1.0 else -1.0
    current = LAWS.driver_current(driver, up, down, command)
    assert current * sign * across >= 0.0
    limits = driver.inverse_source_limit, driver.inverse_sink_limit
    inverse = limits[0] if current > 0.0 else limits[1]
    leak = driver.leakage_conductance * abs(across)
    assert (abs(current) - leak) * inverse <= 1.0 + 1e-12


@FEW
@given(DRIVERS, st.sampled_from([0.0, 1.0]))
def test_a_driver_is_smooth_where_its_current_changes_direction(
    driver: _core.DriverOutput, command: float
) -> None:
    def current(across: Any) -> Any:
        return (
            LAWS.driver_current(driver, across, 0.0, 1.0)
            if command == 1.0
            else LAWS.driver_current(driver, 0.0, across, 0.0)
        )

    left, right, jump = slopes_beside(current, 0.0, 1e-5 * driver.drop_width)
    resistance = driver.source_resistance if command == 1.0 else driver.sink_resistance
    assert abs(jump) <= 2.1e-12 * (1.0 / resistance + driver.leakage_conductance)
    assert left == pytest.approx(right, abs=1e-6 / resistance)


@FEW
@given(CAPACITANCES, VOLTAGES)
def test_a_capacitance_is_positive_and_stores_energy(capacitance: Any, voltage: float) -> None:
    assert LAWS.capacitance(capacitance, voltage) > 0.0
    assert LAWS.charge(capacitance, voltage) * voltage >= 0.0
    # Near 0 V the closed forms are differences of numbers of the size C (1 V)^2.
    slack = ROUNDING * (LAWS.capacitance(capacitance, 0.0) + LAWS.capacitance(capacitance, voltage))
    assert LAWS.stored_energy(capacitance, voltage) >= -slack
    assert LAWS.charge(capacitance, 0.0) == LAWS.stored_energy(capacitance, 0.0) == 0.0


@FEW
@given(CAPACITANCES, st.floats(0.01, 900.0), st.sampled_from([-1.0, 1.0]))
def test_charge_and_energy_are_the_integrals_of_capacitance(
    capacitance: Any, size: float, sign: float
) -> None:
    voltage = sign * size
    charge = integral(lambda v: float(LAWS.capacitance(capacitance, v)), capacitance, voltage)
    energy = integral(lambda v: v * float(LAWS.capacitance(capacitance, v)), capacitance, voltage)
    assert LAWS.charge(capacitance, voltage) == pytest.approx(charge, rel=1e-8)
    assert LAWS.stored_energy(capacitance, voltage) == pytest.approx(energy, rel=1e-8)


def integral(value: Any, capacitance: Any, end: float) -> float:
    """From 0 to `end`, in pieces so that each bend of the law is seen."""
    centre = getattr(capacitance, "centre", 0.0)
    bends = [point + side * 10.0**k for point in (0.0, centre) for side in (-1, 1) for k in range(-2, 3)]
    low, high = min(0.0, end), max(0.0, end)
    points = sorted({low, high, *(bend for bend in [*bends, centre] if low < bend < high)})
    pieces = [quad(value, begin, finish, epsabs=0.0, epsrel=1e-10)[0] for begin, finish in pairwise(points)]
    return math.copysign(1.0, end) * math.fsum(pieces)


@FEW
@given(CAPACITANCES, VOLTAGES)
def test_the_slope_of_the_charge_is_the_capacitance(capacitance: Any, voltage: float) -> None:
    # Fourth-order difference; its step follows the scale on which these laws bend.
    step = 1e-3 * max(0.3, abs(voltage) / 10.0)
    if abs(voltage) < 3.0 * step:
        voltage = math.copysign(3.0 * step, voltage)  # not across the corner of the second slope
    near = voltage + step * np.array([-2.0, -1.0, 1.0, 2.0])
    slope = float(LAWS.charge(capacitance, near) @ np.array([1.0, -8.0, 8.0, -1.0])) / (12.0 * step)
    value = LAWS.capacitance(capacitance, voltage)
    whole = abs(LAWS.charge(capacitance, voltage)) * 1e-15 / step
    assert slope == pytest.approx(value, rel=1e-6, abs=20.0 * whole)


@FEW
@given(DEPLETIONS)
def test_a_depletion_capacitance_is_smooth_at_zero_voltage(capacitance: _core.DepletionCapacitance) -> None:
    steepness = capacitance.zero_bias * capacitance.grading / capacitance.potential  # of the textbook side
    left, right, jump = slopes_beside(lambda v: LAWS.capacitance(capacitance, v), 0.0, 2e-4)
    assert abs(jump) < 1e-11 * capacitance.zero_bias
    assert right == pytest.approx(-steepness, rel=1e-5, abs=1e-8 * capacitance.floor)
    assert left == pytest.approx(right, rel=1e-5, abs=1e-8 * capacitance.floor)


@FEW
@given(STEPS, st.floats(-50.0, 50.0))
def test_a_step_capacitance_is_smooth_and_stays_between_its_levels(
    capacitance: _core.StepCapacitance, voltage: float
) -> None:
    low, high = sorted((capacitance.low, capacitance.high))
    assert low * (1 - ROUNDING) <= LAWS.capacitance(capacitance, voltage) <= high * (1 + ROUNDING)
    middle = LAWS.capacitance(capacitance, capacitance.centre)
    assert middle == pytest.approx((low + high) / 2, rel=1e-12)
    left, right, _ = slopes_beside(
        lambda v: LAWS.capacitance(capacitance, v), capacitance.centre, 1e-3 * capacitance.width
    )
    wanted = (capacitance.high - capacitance.low) / (2.0 * capacitance.width)
    slack = 1e-9 * high / capacitance.width
    assert left == pytest.approx(right, rel=1e-6, abs=slack)
    assert left == pytest.approx(wanted, rel=1e-5, abs=slack)


@FEW
@given(CAPACITANCES, VOLTAGES, VOLTAGES)
def test_charge_grows_with_voltage(capacitance: Any, first: float, second: float) -> None:
    low, high = sorted((first, second))
    before, after = LAWS.charge(capacitance, low), LAWS.charge(capacitance, high)
    assert after >= before - ROUNDING * (abs(before) + abs(after))
