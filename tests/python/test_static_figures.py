"""The static bench against closed forms, textbook integrals and numerical quadrature."""

from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad  # type: ignore[import-untyped]
from scipy.optimize import brentq  # type: ignore[import-untyped]

import gateswing as gs
from gateswing.datasheet import static_figures
from gateswing.datasheet.gate_charge import gate_charge_curve, gate_charge_figures

TINY = "1e-18 F"


def part(**changes: Any) -> gs.Mosfet:
    """An invented MOSFET of the 100 V class."""
    fields: dict[str, Any] = {
        "channel": gs.MosfetChannel(
            threshold_voltage=3.2,
            transconductance_factor=55.0,
            mobility_degradation=0.15,
            subthreshold_voltage=0.05,
        ),
        "gate_source_capacitance": gs.StepCapacitance(low=1.4e-9, high=1.9e-9, centre=2.5, width=1.0),
        "gate_drain_capacitance": gs.DepletionCapacitance(
            zero_bias=0.5e-9, potential=0.9, grading=0.6, floor=6e-12, ceiling=1.3e-9
        ),
        "drain_source_capacitance": gs.DepletionCapacitance(
            zero_bias=2e-9, potential=0.7, grading=0.45, floor=40e-12
        ),
        "body_diode": gs.BodyDiode(forward_voltage=0.85, forward_current=20.0),
        "drift_resistance": 6e-3,
        "breakdown_voltage": 105.0,
    }
    return gs.Mosfet(**(fields | changes))


def pinned_current(fet: gs.Mosfet, v_gs: float, v_ds: float) -> float:
    """Current [A] with the drift resistance in series, by root finding on the law alone."""
    return float(
        brentq(
            lambda i: float(fet.channel_current(v_gs, v_ds - fet.drift_resistance * i)) - i,
            -1.0,
            1e4,
            xtol=1e-15,
        )
    )


@pytest.mark.parametrize("current", [250e-6, 1e-3, 1.0])
def test_the_threshold_carries_its_current_with_the_gate_tied_to_the_drain(current: float) -> None:
    fet = part()
    voltage = float(static_figures.threshold_voltage(fet, current))
    assert pinned_current(fet, voltage, voltage) == pytest.approx(current, rel=1e-9)


@pytest.mark.parametrize(("v_gs", "current"), [(10.0, 20.0), (4.5, 8.0), (4.0, 0.1)])
def test_the_on_resistance_is_the_drop_over_the_current(v_gs: float, current: float) -> None:
    fet = part()
    drop = current * float(static_figures.on_resistance(fet, v_gs, current))
    assert pinned_current(fet, v_gs, drop) == pytest.approx(current, rel=1e-9)


def test_a_saturated_channel_has_no_on_resistance() -> None:
    assert np.isnan(static_figures.on_resistance(part(), 3.5, 50.0))


@pytest.mark.parametrize("current", [0.01, 1.0, 30.0])
def test_the_transconductance_is_the_slope_of_the_current(current: float) -> None:
    fet = part()
    v_gs = float(static_figures.plateau_voltage(fet, current))
    step = 1e-5
    high, low = fet.channel_current([v_gs + step, v_gs - step], 60.0)
    assert fet.channel_current(v_gs, 60.0) == pytest.approx(current, rel=1e-9)
    assert float(static_figures.transconductance(fet, current)) == pytest.approx(
        (high - low) / (2 * step), rel=1e-6
    )


@pytest.mark.parametrize("theta", [0.0, 0.2])
def test_the_gate_charge_is_a_staircase_with_constant_capacitances(theta: float) -> None:
    # The closed form of a textbook staircase: slopes 1/(C_GS + C_GD), plateau of length C_GD (V - v_on).
    c_gs, c_gd, clamp, current, end = 2e-9, 0.2e-9, 60.0, 15.0, 12.0
    channel = gs.MosfetChannel(
        threshold_voltage=3.0,
        transconductance_factor=40.0,
        mobility_degradation=theta,
        subthreshold_voltage=5e-3,
    )
    fet = part(
        channel=channel,
        gate_source_capacitance=gs.StepCapacitance(low=c_gs, high=c_gs),
        gate_drain_capacitance=gs.DepletionCapacitance(zero_bias=TINY, floor=c_gd),
        drift_resistance=0.0,
    )
    conditions = {"drain_voltage": clamp, "drain_current": current, "gate_voltage": end}
    curve = gate_charge_curve(fet, **conditions)
    found = gate_charge_figures(curve)
    # Saturation i = K/2 ov^2/(1 + theta/2 ov), solved by hand.
    a = theta * current / 2 / 40.0
    plateau = 3.0 + a + np.sqrt(a * a + 2 * current / 40.0)
    v_on = current * float(static_figures.on_resistance(fet, end, current))
    assert found.plateau_voltage == pytest.approx(plateau, abs=1e-6)
    assert found.gate_source == pytest.approx((c_gs + c_gd) * plateau, rel=1e-6)
    assert found.total == pytest.approx((c_gs + c_gd) * end + c_gd * (clamp - v_on), rel=1e-9)
    # On the last part the drain still sinks a little; the line through it is not quite C_GS + C_GD.
    assert found.gate_drain == pytest.approx(c_gd * (clamp - v_on), rel=0.02)
    assert curve.drain_voltage[-1] == pytest.approx(v_on, rel=1e-9)


def test_the_gate_charge_is_the_integral_of_the_capacitances() -> None:
    fet = part()
    curve = gate_charge_curve(fet, drain_voltage=50.0, drain_current=20.0, gate_voltage=10.0)
    v_gs, v_ds = curve.gate_voltage, curve.drain_voltage
    found = fet.capacitances(v_gs, v_ds)
    # dQ = C_GS dv_GS + C_GD d(v_GS - v_DS), the capacitances taken along the path.
    steps = (found["ciss"] - found["crss"], v_gs), (found["crss"], v_gs - v_ds)
    total = sum(float(np.trapezoid(c, v)) for c, v in steps)
    assert curve.charge[-1] == pytest.approx(total, rel=1e-4)
    assert np.all(np.diff(curve.charge) >= 0.0)


def test_the_drain_follows_the_channel_at_the_current_of_the_load() -> None:
    fet = part()
    curve = gate_charge_curve(fet, drain_voltage=50.0, drain_current=20.0, gate_voltage=10.0)
    carried = fet.channel_current(curve.gate_voltage, curve.drain_voltage)
    loaded = curve.gate_voltage >= static_figures.plateau_voltage(fet, 20.0)
    assert loaded.sum() > 100
    assert carried[loaded] == pytest.approx(20.0, rel=1e-6)
    assert curve.drain_voltage[0] == pytest.approx(50.0, abs=1e-6)


def test_a_gate_voltage_that_does_not_carry_the_current_is_refused() -> None:
    with pytest.raises(gs.InputError, match="does not carry 20 A"):
        gate_charge_curve(part(), drain_voltage=50.0, drain_current=20.0, gate_voltage=3.5)


@pytest.mark.parametrize(
    ("grading", "ratio", "expected"),
    [
        (0.5, 10.0, 1.2618),
        (0.5, 100.0, 1.3224),
        (0.5, 500.0, 1.3309),
        (0.33, 100.0, 1.1923),
        (0.7, 100.0, 1.5150),
    ],
)
def test_the_energy_of_a_junction_exceeds_half_c_v_squared(
    grading: float, ratio: float, expected: float
) -> None:
    # Integrals of C0 (1 + v/phi)^-m; large u with m = 1/2 tends to 4/3 (the 2/3 C V^2 of Erickson and
    # Maksimovic, Fundamentals of Power Electronics, from memory).
    phi = 0.7
    fet = part(
        gate_drain_capacitance=gs.DepletionCapacitance(zero_bias=TINY),
        drain_source_capacitance=gs.DepletionCapacitance(zero_bias=1e-9, potential=phi, grading=grading),
    )
    voltage = ratio * phi
    local = float(fet.capacitances(0.0, voltage)["coss"])
    assert float(static_figures.energy_related_capacitance(fet, voltage)) / local == pytest.approx(
        expected, abs=6e-5
    )


def test_time_and_energy_related_capacitances_of_an_abrupt_junction_are_three_to_two() -> None:
    fet = part(
        gate_drain_capacitance=gs.DepletionCapacitance(zero_bias=TINY),
        drain_source_capacitance=gs.DepletionCapacitance(zero_bias=1e-9, potential=0.7, grading=0.5),
    )
    ratio = static_figures.time_related_capacitance(fet, 3.5e5) / static_figures.energy_related_capacitance(
        fet, 3.5e5
    )
    assert float(ratio) == pytest.approx(1.5, rel=2e-3)


def test_charging_from_a_source_stores_the_energy_and_loses_the_rest() -> None:
    # V Q = E + loss; the loss in the path is the integral of (V - v) C(v), by scipy's quadrature.
    fet, bus = part(), 70.0
    loss, _ = quad(
        lambda v: (bus - v) * float(fet.capacitances(0.0, v)["coss"]), 0.0, bus, epsabs=0, epsrel=1e-10
    )
    assert bus * float(static_figures.output_charge(fet, bus)) == pytest.approx(
        float(static_figures.output_energy(fet, bus)) + loss, rel=1e-9
    )


def test_the_source_drain_voltage_carries_its_current() -> None:
    fet = part(channel=gs.MosfetChannel(threshold_voltage=0.6, transconductance_factor=50.0))
    voltage = static_figures.source_drain_voltage(fet, 15.0)
    channel = 15.0 - float(fet.body_diode_current(voltage))
    assert channel > 0.1
    # The drift resistance carries the channel's share alone.
    inside = voltage - fet.drift_resistance * channel
    assert -float(fet.channel_current(0.0, -inside)) == pytest.approx(channel, rel=1e-8)
