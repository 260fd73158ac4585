"""Motor, solenoid and LED string: against textbook exponentials, Lambert's function, and the plain load."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq  # type: ignore[import-untyped]
from scipy.special import lambertw  # type: ignore[import-untyped]

import gateswing as gs
from gateswing.cautions import safety_cautions
from gateswing.circuit.loads import LOAD_KINDS
from gateswing.circuit_checks.low_side import design_warnings, operation_warnings
from gateswing.ranges import range_warnings

# The ideal diode is unusual, and so are tones of some kilohertz; what is told of them is tested below.
pytestmark = pytest.mark.filterwarnings("ignore::gateswing.errors.InputWarning")

LOADS: dict[str, dict[str, Any]] = tomllib.loads(
    (Path(__file__).parent / "loads.toml").read_text(encoding="utf-8")
)


def load_of(kind: str, **changes: Any) -> dict[str, Any]:
    return LOADS[kind] | changes


def nearly_ideal(load: object, **changes: Any) -> gs.LowSideCell:
    """24 V, a large and quick MOSFET, a diode of nearly constant 0.5 V, no wiring."""
    fields: dict[str, Any] = {
        "bus": "24 V",
        "mosfet": gs.part("logic-60V-to220").replace(
            gate_inductance=0.0, drain_inductance=0.0, source_inductance=0.0
        ),
        "driver": "driver-ic-strong",
        "gate_resistance": "2.2 ohm",
        "freewheel": gs.Diode(
            forward_voltage=0.5,
            forward_current=1.0,
            emission_voltage=0.012,
            capacitance={"zero_bias": "50 pF", "potential": 0.6, "grading": 0.5, "floor": "5 pF"},
        ),
        "load": load,
    }
    return gs.LowSideCell(**fields | changes)


def on_resistance(point: gs.OperatingPoint) -> float:
    """Of the switch, read in the middle of the on-time [ohm]."""
    middle = point.waveform.begin + 0.5 * point.duty / point.frequency
    return float(point.waveform.value("v_ds_pin", middle) / point.waveform.value("i_d", middle))


def exponential(start: float, end: float, time: float, tau: float) -> float:
    return end + (start - end) * math.exp(-time / tau)


@pytest.mark.parametrize("kind", LOADS)
def test_every_kind_is_read_written_simulated_and_unremarkable(
    design: gs.Design, kind: str, tmp_path: Path
) -> None:
    wanted = design.replace({"cell": nearly_ideal(load_of(kind))})
    gs.write_design(wanted, tmp_path / "design.toml")
    assert gs.read_design(tmp_path / "design.toml") == wanted
    assert type(wanted.cell.load) is LOAD_KINDS[kind]
    assert range_warnings(wanted.cell.load) == []
    edges = gs.double_pulse(wanted.cell)
    assert edges.succeeded, edges.message
    assert edges.energy_residual < 1e-6


def test_there_is_an_example_of_every_kind() -> None:
    assert set(LOADS) == set(LOAD_KINDS)


@pytest.mark.parametrize(
    ("load", "path", "words"),
    [
        ({"kind": "moter"}, "load.kind", "no such kind of load.*Did you mean 'motor'?"),
        (12, "load", "not a load, nor a table of its fields"),
        (load_of("motor", resistance=0), "load.resistance", "out of range"),
        (load_of("motor", constant_current=1), "load.constant_current", "no such field"),
        (load_of("led_string", count=2.5), "load.count", "not a whole number"),
        (load_of("led_string", resistance=0, led_resistance=0), "load.resistance", "nothing but the junc"),
        (load_of("led_string", emission_voltage="26 mV"), "load.emission_voltage", "too steep"),
        (load_of("solenoid", hold_current="1 A"), "load.hold_current", "needs less current than"),
    ],
)
def test_a_load_that_cannot_be_is_refused(load: object, path: str, words: str) -> None:
    with pytest.raises(gs.InputError, match=words) as error:
        nearly_ideal(load)
    assert [problem.path for problem in error.value.problems] == [path]


def test_a_motor_carries_the_current_of_the_textbook_s_exponentials() -> None:
    """R-L-E load in continuous conduction; Rashid, Power Electronics, chapter 5 (from memory)."""
    cell = nearly_ideal(load_of("motor"))
    point = gs.operating_point(cell, frequency="5 kHz", duty=0.6)
    resistance, inductance, emf = 0.8, 400e-6, 9.0
    on, off = resistance + on_resistance(point), resistance
    drop = 0.5 + 0.012 * math.log(point.mean_load_current)

    def period(valley: float) -> tuple[float, float]:
        peak = exponential(valley, (24 - emf) / on, 120e-6, inductance / on)
        return peak, exponential(peak, -(emf + drop) / off, 80e-6, inductance / off)

    valley = float(brentq(lambda start: period(start)[1] - start, 0.0, 20.0))
    peak = period(valley)[0]
    # Volt seconds of a period: L di = 0, so the mean follows from the mean voltages.
    begin, end = (24 - emf) / on, -(emf + drop) / off
    mean = (begin * 120e-6 + end * 80e-6 - (peak - valley) * inductance * (1 / on - 1 / off)) / 200e-6
    assert valley > 1.0
    assert point.load_current_ripple == pytest.approx(peak - valley, rel=3e-3)
    assert point.mean_load_current == pytest.approx(mean, rel=5e-3)


def test_the_current_of_a_fast_motor_stops_when_the_textbook_s_does() -> None:
    """R-L-E load in discontinuous conduction: up to the peak, and down until it crosses zero.

    Only the little that the ring has left at the turn-on is taken from the simulation.
    """
    cell = nearly_ideal(load_of("motor", back_emf="18 V"))
    point = gs.operating_point(cell, frequency="5 kHz", duty=0.3)
    assert point.succeeded, point.message
    on, off, inductance, emf, drop = 0.8 + on_resistance(point), 0.8, 400e-6, 18.0, 0.5
    start = float(point.waveform.value("i_load", point.waveform.begin))
    peak = exponential(start, (24 - emf) / on, 60e-6, inductance / on)
    stop = float(
        brentq(lambda time: exponential(peak, -(emf + drop) / off, time, inductance / off), 0.0, 140e-6)
    )
    charge = ((24 - emf) * 60e-6 - inductance * (peak - start)) / on + (
        inductance * peak - (emf + drop) * stop
    ) / off
    assert stop < 100e-6
    assert abs(start) < 0.01 * peak
    assert float(np.max(point.waveform.values("i_load"))) == pytest.approx(peak, rel=5e-3)
    assert point.mean_load_current == pytest.approx(charge / 200e-6, rel=5e-3)
    assert point.on_share == pytest.approx(0.3, rel=1e-2)
    assert point.transition_share < 1e-2
    assert "incomplete switching" not in point.losses_by_cause
    assert sum(point.losses_by_cause.values()) == pytest.approx(point.total_loss, rel=1e-3)
    # At rest the drain hangs on bus less back-EMF, about which the winding rings with the output capacitance.
    late = point.waveform.value("v_ds", np.linspace(150e-6, 199e-6, 4001) + point.waveform.begin)
    assert float(np.mean(late)) == pytest.approx(24 - emf, rel=0.05)


@pytest.mark.parametrize(("back_emf", "duty"), [("9 V", 0.6), ("18 V", 0.3)])
def test_the_hand_formulas_of_a_motor_hold(back_emf: str, duty: float) -> None:
    point = gs.operating_point(
        nearly_ideal(load_of("motor", back_emf=back_emf)), frequency="5 kHz", duty=duty
    )
    found = point.hand_formulas()
    for name in ("mean_load_current", "load_current_ripple"):
        assert found[name].ratio == pytest.approx(1.0, abs=0.05), name
    assert ("discontinuous" in found["mean_load_current"].formula.name) == (back_emf == "18 V")


def test_the_shaft_gets_back_emf_times_current_and_the_stage_loses_the_rest() -> None:
    point = gs.operating_point(nearly_ideal(load_of("motor")), frequency="20 kHz", duty=0.6)
    assert point.useful_power == pytest.approx(9.0 * point.mean_load_current, rel=1e-6)
    heat = next(entry.power for entry in point.ledger if entry.name == "load resistance")
    assert point.load_power == pytest.approx(point.useful_power + heat, rel=1e-9)
    assert point.efficiency == pytest.approx(
        point.load_power / (point.load_power + point.total_loss), rel=1e-9
    )
    assert sum(point.losses_by_cause.values()) == pytest.approx(point.total_loss, rel=1e-3)
    assert not any(name.startswith("load") for name in point.losses)
    assert point.energy_residual < 1e-6


def test_the_ripple_by_hand_of_a_solenoid_has_the_step_of_its_eddy_currents() -> None:
    load = {"kind": "solenoid", "resistance": "2 ohm", "inductance": "5 mH", "core_resistance": "200 ohm"}
    point = gs.operating_point(nearly_ideal(load), frequency="20 kHz", duty=0.5)
    found = point.hand_formulas()["load_current_ripple"]
    assert found.ratio == pytest.approx(1.0, abs=0.02)
    # The ramp of the flux is less than half of it.
    assert found.value > 2.0 * 24.0 * 0.25 / (5e-3 * 20e3)


def test_a_motor_at_rest_is_resistance_and_inductance() -> None:
    plain = gs.Load(resistance="0.8 ohm", inductance="400 uH")
    found = [
        gs.operating_point(nearly_ideal(load), frequency="20 kHz", duty=0.3)
        for load in (load_of("motor", back_emf=0), plain)
    ]
    assert math.copysign(1.0, found[0].useful_power) == 1.0
    assert found[0].useful_power == 0.0
    for name in ("mean_load_current", "load_current_ripple", "load_power", "total_loss", "efficiency"):
        stalled, loaded = (getattr(point, name) for point in found)
        assert stalled == pytest.approx(loaded, rel=1e-5), name


def test_leds_behind_a_resistor_carry_the_current_of_lambert_s_function() -> None:
    """V = R i + n V_T ln(1 + i/I_S) has i + I_S = n V_T/R W(I_S R/(n V_T) exp((V + R I_S)/(n V_T)))."""
    cell = nearly_ideal(load_of("led_string"), freewheel=None)
    point = gs.operating_point(cell, frequency="2 kHz", duty=0.25)
    assert point.succeeded, point.message
    slope = 6 * 0.08
    saturation = 0.35 / math.expm1((3.0 - 0.35 * 0.3) / 0.08)
    resistance = 15 + 6 * 0.3 + on_resistance(point)
    argument = saturation * resistance / slope * math.exp((24 + resistance * saturation) / slope)
    current = slope / resistance * float(lambertw(argument).real) - saturation
    assert point.mean_load_current == pytest.approx(0.25 * current, rel=2e-3)
    # Off, the LEDs keep the drain far below the bus, and yet it has switched.
    assert "incomplete switching" not in point.losses_by_cause
    assert point.transition_share < 0.1
    assert point.turn_off.fall_time > 10 * point.turn_on.rise_time
    verdict = gs.check(gs.Design(cell=cell, operation=gs.Operation(frequency="2 kHz", duty=0.25)))
    assert verdict.outcome == "held", verdict.sentence()
    # Light and heat of the junctions; V = R i + v.
    assert point.useful_power == pytest.approx(0.25 * current * (24 - resistance * current), rel=2e-3)
    assert point.hand_formulas()["mean_load_current"].is_finding is False


def test_a_diode_across_a_load_without_inductance_has_no_heat_by_hand() -> None:
    for load, has_any in ((load_of("led_string"), False), (load_of("led_string", inductance="1 mH"), True)):
        point = gs.operating_point(nearly_ideal(load), frequency="20 kHz", duty=0.5, relative_tolerance=1e-4)
        assert any(one.name == "freewheel_loss" for one in point.hand_formulas()) == has_any


def test_an_inductance_keeps_the_current_of_leds_within_the_ripple_of_the_hand_formula() -> None:
    cell = nearly_ideal(load_of("led_string", count=3, resistance="4 ohm", inductance="1 mH"))
    point = gs.operating_point(cell, frequency="100 kHz", duty=0.6)
    found = point.hand_formulas()
    assert found["load_current_ripple"].ratio == pytest.approx(1.0, abs=0.05)
    assert found["mean_load_current"].ratio == pytest.approx(1.0, abs=0.05)
    assert point.load_current_ripple < 0.2 * point.mean_load_current


def test_eddy_currents_add_a_step_and_shorten_the_time_constant() -> None:
    """R in series with L beside R_C: from V/(R + R_C) to V/R with L (R + R_C)/(R R_C); two-branch circuit."""
    load = load_of("solenoid", inductance="6 mH", core_resistance="36 ohm")
    point = gs.operating_point(nearly_ideal(load), frequency="20 Hz", duty=0.5)
    tau = 6e-3 * (12 + 36) / (12 * 36)
    final = 24 / (12 + on_resistance(point))
    for time in (20e-6, 200e-6, 1e-3):
        expected = final - (final - 24 / 48) * math.exp(-time / tau)
        found = float(point.waveform.value("i_load", point.waveform.begin + time))
        assert found == pytest.approx(expected, rel=5e-3)


def test_a_solenoid_that_lets_go_exceeds_a_limit() -> None:
    operation = {"frequency": "25 kHz", "duty": 0.35}
    held, lost = (
        gs.check(
            gs.Design(
                cell=nearly_ideal(load_of("solenoid")), operation=gs.Operation(**operation | {"duty": duty})
            )
        )
        for duty in (0.35, 0.12)
    )
    for verdict, word in ((held, "held"), (lost, "exceeded")):
        (check,) = (one for one in verdict.checks if one.name == "minimum_load_current")
        assert check.verdict == word
        lowest = float(np.min(verdict.point.waveform.values("i_load")))
        assert check.margin == pytest.approx(lowest / 0.4 - 1)
        assert "at least 400 mA" in check.row()[2]


def test_a_coil_pulls_in_after_its_exponential_has_reached_the_current() -> None:
    coil = gs.Solenoid(resistance=12.0, inductance=30e-3, pull_in_current=0.9)
    time = coil.pull_in_time(24.0)
    assert 2.0 * (1.0 - math.exp(-time * 12.0 / 30e-3)) == pytest.approx(0.9)
    assert coil.pull_in_time(10.0) == math.inf
    assert math.isnan(gs.Solenoid(resistance=12.0, inductance=30e-3).pull_in_time(24.0))


def test_back_emf_is_swept_as_any_other_quantity() -> None:
    cell = nearly_ideal(load_of("motor"))
    table = gs.sweep(cell, frequency=20e3, duty=0.6, load__back_emf=["0 V", "9 V"])
    currents = table["mean_load_current"].values.ravel()
    one = gs.operating_point(cell, frequency=20e3, duty=0.6)
    assert currents[1] == one.mean_load_current
    # From the means of the voltages: 9 V over 0.8 ohm less.
    assert currents[0] - currents[1] == pytest.approx(9 / 0.8, rel=0.02)


def test_a_release_against_a_back_emf_is_that_of_the_hand_formula() -> None:
    cell = nearly_ideal(
        load_of("motor", back_emf="6 V"),
        freewheel=None,
        drain_source_clamp=gs.ZenerClamp(voltage="47 V", resistance="0.2 ohm"),
    )
    release = gs.inductive_turn_off(cell, current="3 A")
    assert release.release_time == pytest.approx(release.release_time_by_hand, rel=0.03)
    # The back-EMF helps: without it the clamp alone has to bring the current down.
    bare = gs.inductive_turn_off(cell.replace(load__back_emf=0.0), current="3 A")
    assert release.release_time < 0.9 * bare.release_time


@pytest.mark.parametrize(
    ("load", "operation", "path", "words"),
    [
        (load_of("motor", back_emf="25 V"), {}, "load.back_emf", "not below the bus of 24 V: the motor gen"),
        (load_of("motor", resistance="20 mohm", back_emf=23), {}, "load.back_emf", "100 % duty.*1.2 kA"),
        (load_of("motor"), {"frequency": "4 kHz"}, "frequency", "4 kHz is a tone"),
        (load_of("led_string", count=8), {}, "load.count", "8 LEDs in series need 24 V"),
        (load_of("led_string", count=7, resistance="1 ohm"), {}, "load.resistance", "a bus 5 %"),
        (load_of("led_string"), {"frequency": "200 Hz"}, "frequency", "switched at 200 Hz may flicker"),
        (load_of("solenoid", resistance="30 ohm"), {}, "load.pull_in_current", "drives 800 mA at most"),
        (load_of("solenoid"), {"duty": 0.1}, "duty", "does not hold the armature"),
        (load_of("solenoid"), {"duty": 0.3}, "duty", "does not move the armature.*switch on for 1.49"),
    ],
)  # fmt: skip
def test_a_trap_is_told_with_its_numbers(
    load: dict[str, Any], operation: dict[str, Any], path: str, words: str
) -> None:
    cell = nearly_ideal(load, loop_inductance="20 nH", pull_down_resistance="47 kohm")
    found = [
        *design_warnings(cell),
        *operation_warnings(cell, gs.Operation(**{"frequency": "25 kHz", "duty": 0.6} | operation)),
    ]
    assert [one.path for one in found if words.split(".*")[0] in one.message] == [path], found
    (one,) = (one for one in found if words.split(".*")[0] in one.message)
    assert all(word in one.message for word in words.split(".*"))


@pytest.mark.parametrize(("kind", "words"), [("motor", "moving parts"), ("led_string", "harm the eye")])
def test_a_load_that_can_hurt_is_told_of(kind: str, words: str) -> None:
    assert any(words in one.message for one in safety_cautions(nearly_ideal(load_of(kind))))
    assert not any(words in one.message for one in safety_cautions(nearly_ideal({"resistance": "8 ohm"})))


def test_a_motor_that_feeds_the_bus_has_no_efficiency() -> None:
    point = gs.operating_point(
        nearly_ideal(load_of("motor", back_emf="26 V")), frequency="20 kHz", duty=0.5, relative_tolerance=1e-4
    )
    assert point.succeeded, point.message
    assert point.load_power < 0.0 < point.total_loss
    assert math.isnan(point.efficiency)


def test_the_energy_of_an_avalanche_counts_the_voltage_against_the_current() -> None:
    """1/2 L I^2 V_BR/(V_BR - V + E): JESD24-5 with the driving voltage less the back-EMF."""
    from gateswing.circuit_checks.drive import avalanche_energy

    cell = nearly_ideal(load_of("motor"), freewheel=None)
    breakdown = cell.mosfet.breakdown_voltage
    expected = 0.5 * 400e-6 * 2.0**2 * breakdown / (breakdown - 24 + 9)
    assert avalanche_energy(cell, 2.0) == pytest.approx(expected)


def test_the_example_of_a_motor_keeps_its_limits(example_path: Path) -> None:
    verdict = gs.check(gs.read_design(example_path.with_name("conveyor_motor.toml")))
    assert verdict.outcome == "held"
    assert verdict.warnings == ()


def test_a_ring_that_passes_the_rest_voltage_at_the_turn_on_leaves_the_losses_sorted() -> None:
    point = gs.operating_point(nearly_ideal(load_of("motor", back_emf="18 V")), frequency=7e3, duty=0.3)
    assert math.isnan(
        point.turn_on.drain_end
    )  # the drain rises with the ring before the channel takes it down
    assert "incomplete switching" not in point.losses_by_cause
    assert point.on_share == pytest.approx(0.3, rel=1e-2)
