"""The gate when off, the driver's ratings and supply, and the pulses, against hand values."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import numpy as np
import pytest

import gateswing as gs
from gateswing.limits.checks import LimitCheck, limit_checks, not_judged
from gateswing.limits.gate import gate_voltage_when_off


def found(design: gs.Design, point: gs.OperatingPoint, **cell: Any) -> dict[str, LimitCheck]:
    """The checks by name, with the circuit of the point changed in what it is rated for."""
    changed = design.cell.replace({name.replace("__", "."): value for name, value in cell.items()})
    checks = limit_checks(design.replace({"cell": changed}), dataclasses.replace(point, cell=changed))
    return {one.name: one for one in checks}


def with_gate(point: gs.OperatingPoint, *values: float) -> gs.OperatingPoint:
    """The point with a gate voltage drawn by hand: at the command "off", and at equal times after it."""
    times = np.append(0.0, np.linspace(point.duty, 1.0, len(values))) / point.frequency
    gate = {"v_gs": [12.0, *values]}
    return dataclasses.replace(point, waveform=gs.Waveform.from_samples(times, gate, {"v_gs": "V"}))


@pytest.mark.parametrize(
    ("course", "highest"),
    [
        ((12.0, 5.0, 1.4, 0.6, 0.5, 0.2, 0.1), 0.1),  # a fall and no return: what it rests at
        ((12.0, 5.0, 0.5, -0.5, 1.7, 0.0, 0.3), 1.7),  # rings back
        ((12.0, 5.0, 1.8, 1.9, 0.4, 0.3, 0.3), 0.3),  # ripple on the fall is none
        ((12.0, 5.0, 2.5, 2.2, 2.1, 2.1, 2.1), 2.1),  # never off
    ],
)
def test_a_return_of_the_gate_is_told_from_its_fall(
    point: gs.OperatingPoint, course: tuple[float, ...], highest: float
) -> None:
    assert gate_voltage_when_off(with_gate(point, *course), 2.0) == pytest.approx(highest)


def test_the_gate_when_off_is_held_against_the_lowest_hot_threshold(
    design: gs.Design, point: gs.OperatingPoint
) -> None:
    slope = design.cell.mosfet.temperature.threshold_slope
    check = found(design, point)["gate_voltage_when_off"]
    assert check.limit == pytest.approx(3.1 * 2 / 3 + slope * 100.0)
    stated = found(design, point, mosfet__minimum_threshold_voltage="2.5 V", junction_temperature="150 degC")
    assert stated["gate_voltage_when_off"].limit == pytest.approx(2.5 + slope * 125.0)


def test_a_gate_that_rings_back_above_the_threshold_is_named(
    design: gs.Design, point: gs.OperatingPoint
) -> None:
    """The ring of the gate is drawn by hand, the rest is simulated."""
    times, gate = point.waveform.times, point.waveform.values("v_gs").copy()
    gate[times > 15e-6] = 1.6
    units = dict(point.waveform.units)
    ends = np.unique(times, return_index=True)[1]
    values = {name: point.waveform.values(name)[ends] for name in units} | {"v_gs": gate[ends]}
    ringing = dataclasses.replace(point, waveform=gs.Waveform.from_samples(times[ends], values, units))
    check = found(design, ringing)["gate_voltage_when_off"]
    assert check.verdict == "exceeded"
    assert (
        "its gate comes back to 1.6 V, and at 125 degC parts of its type conduct from 1.47 V on"
        in check.reason
    )


def test_the_driver_current_is_the_larger_of_both_edges(design: gs.Design, point: gs.OperatingPoint) -> None:
    check = found(design, point, driver__rated_current="0.5 A")["driver_current"]
    assert check.figure == pytest.approx(
        max(point.turn_on.peak_driver_current, point.turn_off.peak_driver_current), rel=1e-3
    )
    assert check.verdict == "exceeded"
    assert "is rated for 500 mA" in check.reason


def test_a_driver_that_keeps_to_its_rating_by_itself_is_never_marginal(
    design: gs.Design, point: gs.OperatingPoint
) -> None:
    """The outputs of the example end at 1.5 A and 2 A, and its gate takes 1.43 A."""
    assert found(design, point, driver__rated_current="1.5 A")["driver_current"].verdict == "marginal"
    limited = {"driver__rated_current": "1.5 A", "driver__sink_current_limit": "1.5 A"}
    checks = found(design, point, **limited)
    assert checks["driver_current"].verdict == "held"
    assert checks["driver_current"].margin < 0.1
    assert [name for name, one in checks.items() if one.keeps_by_itself] == ["driver_current"]
    assert [name for name, one in checks.items() if one.is_yes_or_no] == ["switches_fully"]
    assert next(iter(checks)) != "driver_current"


def test_a_stronger_driver_is_rated_for_more(design: gs.Design) -> None:
    driver = design.cell.driver.push_pull().replace(rated_current="1.5 A")
    assert driver.stronger(2.0).rated_current == 3.0


def test_the_driver_is_as_hot_as_its_losses_make_it(design: gs.Design, point: gs.OperatingPoint) -> None:
    check = found(design, point, driver__thermal_resistance="150 K/W")["driver_temperature"]
    assert check.figure == pytest.approx(298.15 + 150.0 * point.driver_loss)
    assert check.margin == pytest.approx(1.0 - 1.5 * point.driver_loss)
    hot = found(design, point, driver__thermal_resistance="150 K/W", driver__maximum_temperature="26 degC")
    assert hot["driver_temperature"].verdict == "exceeded"


def test_the_gate_resistor_is_held_against_its_rating(design: gs.Design, point: gs.OperatingPoint) -> None:
    check = found(design, point, gate_resistor_rating="10 mW")["gate_resistor_loss"]
    assert check.figure == point.losses["gate resistor"]
    assert check.verdict == "exceeded"


def test_the_droop_is_charge_resistance_and_inductance_together(
    design: gs.Design, point: gs.OperatingPoint
) -> None:
    """q/C + ESR i + L di/dt, common practice; each term alone and their sum."""
    edge = point.turn_on
    parts = {
        "charge": {"capacitance": "100 nF"},
        "resistance": {"capacitance": "10 mF", "resistance": "1 ohm"},
        "inductance": {"capacitance": "10 mF", "inductance": "10 nH"},
        "all": {"capacitance": "100 nF", "resistance": "1 ohm", "inductance": "10 nH"},
    }
    droops = {
        name: found(design, point, driver_decoupling=part)["driver_supply_droop"].figure
        for name, part in parts.items()
    }
    small = edge.gate_charge / 10e-3
    assert droops["charge"] == pytest.approx(edge.gate_charge / 100e-9)
    assert droops["resistance"] == pytest.approx(edge.peak_driver_current + small)
    assert droops["inductance"] > small
    assert droops["all"] == pytest.approx(
        sum(droops[one] for one in ("charge", "resistance", "inductance")) - 2 * small
    )


def test_a_capacitor_that_is_too_small_is_told_its_size(design: gs.Design, point: gs.OperatingPoint) -> None:
    check = found(design, point, driver_decoupling={"capacitance": "10 nF"})["driver_supply_droop"]
    assert check.limit == pytest.approx(1.2)  # a tenth of 12 V
    assert check.verdict == "exceeded"
    needed = gs.Decoupling(capacitance="10 nF").needed_capacitance(1.2, point.turn_on.gate_charge, 0.0)
    assert needed == pytest.approx(point.turn_on.gate_charge / 1.2)
    assert f"it takes at least {needed * 1e9:.1f} nF" in check.reason
    enough = found(design, point, driver_decoupling={"capacitance": 1.001 * needed})["driver_supply_droop"]
    assert 0.0 <= enough.margin < 0.01
    assert (
        gs.Decoupling(capacitance="1 uF", resistance="2 ohm").needed_capacitance(1.0, 1e-9, 1.0) == math.inf
    )


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
@pytest.mark.parametrize("duty", [0.0, 1.0])
def test_a_switch_that_is_never_turned_on_takes_nothing_from_the_driver_s_capacitor(
    design: gs.Design, duty: float
) -> None:
    rated = design.cell.replace({"driver_decoupling": {"capacitance": "1 nF"}})
    still = gs.operating_point(rated, frequency="50 kHz", duty=duty, relative_tolerance=1e-4)
    checks = found(design, still, driver_decoupling=rated.driver_decoupling)
    assert "driver_supply_droop" not in checks
    assert checks["switches_fully"].verdict == "exceeded"


def test_an_undervoltage_lockout_bounds_the_droop(design: gs.Design, point: gs.OperatingPoint) -> None:
    driver = gs.part("driver-ic-weak")  # 12 V, locked out below 8 V
    check = found(design, point, driver=driver, driver_decoupling={"capacitance": "100 nF"})[
        "driver_supply_droop"
    ]
    assert check.limit == pytest.approx(4.0)


def test_each_edge_must_fit_into_its_pulse(design: gs.Design, point: gs.OperatingPoint) -> None:
    """A worked case of the trade: pulses of 3.4 us against a turn-on of 5.2 us never reach full on."""
    checks = found(design, point)
    assert checks["time_to_turn_on"].limit == pytest.approx(12e-6)
    assert checks["time_to_turn_on"].figure == pytest.approx(point.turn_on.drain_end, abs=1.5e-9)
    assert checks["time_to_turn_off"].limit == pytest.approx(8e-6)
    assert checks["time_to_turn_off"].figure == pytest.approx(point.turn_off.drain_end - 12e-6, abs=1.5e-9)


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
def test_a_pulse_shorter_than_its_edge_is_exceeded(quick_cell: gs.LowSideCell) -> None:
    slow = quick_cell.replace(gate_resistance="1 kohm")
    for duty, verdict in ((0.01, "exceeded"), (0.5, "held")):
        short = gs.operating_point(slow, frequency="20 kHz", duty=duty, relative_tolerance=1e-4)
        design = gs.Design(cell=slow, operation=gs.Operation(frequency="20 kHz", duty=duty))
        checks = {one.name: one for one in limit_checks(design, short)}
        assert checks["time_to_turn_on"].verdict == verdict


def test_what_is_not_stated_is_not_judged_but_named(design: gs.Design, point: gs.OperatingPoint) -> None:
    unstated = {"driver_current", "driver_temperature", "gate_resistor_loss", "driver_supply_droop"}
    assert not unstated & set(found(design, point))
    rated = design.replace(
        {
            "cell.driver.rated_current": "2 A",
            "cell.driver.thermal_resistance": "100 K/W",
            "cell.driver_decoupling": {"capacitance": "1 uF"},
            "cell.gate_resistor_rating": "0.1 W",
            "cell.cooling": gs.Cooling(
                ambient="25 degC", freewheel=gs.HeatPath(junction_to_case="5 K/W", case_to_ambient="60 K/W")
            ),
        }
    )
    names = (
        "driver.rated_current", "driver.thermal_resistance", "driver_decoupling", "gate_resistor_rating",
        "cooling.freewheel",
    )  # fmt: skip
    for name in names:
        assert any(name in one for one in not_judged(design))
        assert not any(name in one for one in not_judged(rated))


def test_the_ripple_of_the_bus_is_that_of_the_hand_formula(
    design: gs.Design, point: gs.OperatingPoint
) -> None:
    check = found(design, point)["bus_ripple"]
    by_hand = point.hand_formulas()["bus_ripple"]
    assert check.figure == pytest.approx(by_hand.simulated, abs=1e-3)
    assert check.limit == pytest.approx(4.8)
    stiff = found(design, point, bus="48 V")
    assert "bus_ripple" not in stiff


def test_a_bulk_capacitor_that_is_too_small_is_told_its_size(design: gs.Design) -> None:
    # The long cable makes the capacitor carry the pulses: I D (1 - D)/(f C) = 5.8 V at 6 A.
    small = design.cell.replace({"bus.bulk_capacitance": "5 uF", "bus.inductance": "50 uH"})
    falling = gs.operating_point(small, frequency="50 kHz", duty=0.6, relative_tolerance=1e-4)
    check = found(design, falling, bus=small.bus)["bus_ripple"]
    assert check.verdict == "exceeded"
    assert f"it takes about {5.0 * check.figure / 4.8:.3g} uF" in check.reason
