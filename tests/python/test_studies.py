"""The Python side of the studies: arguments, warnings, refusals. Their physics is tested elsewhere."""

import math

import numpy as np
import pytest

import gateswing as gs
from gateswing import _core
from gateswing.core import fill


def test_a_pulse_is_switched_at_the_current_asked_for(cell: gs.LowSideCell) -> None:
    result = gs.double_pulse(cell, current="4 A", on_time="2 us", off_time="1.5 us")
    assert result.waveform.value("i_load", 0.0) == pytest.approx(4.0, rel=1e-3)
    assert (result.on_time, result.off_time) == (2e-6, 1.5e-6)
    assert result.waveform.end == pytest.approx(3.5e-6, rel=1e-12)
    assert result.current == pytest.approx(float(result.waveform.value("i_load", 2e-6)))


def test_the_current_left_out_is_what_the_load_draws(edges: gs.DoublePulse) -> None:
    assert edges.waveform.value("i_load", edges.waveform.begin) == pytest.approx(48.0 / 4.8, rel=1e-3)


@pytest.mark.parametrize("name", ["current", "on_time", "off_time"])
@pytest.mark.parametrize(
    ("value", "words"), [(-1.0, "out of range"), (math.nan, "not a finite"), ("1 V", "has the unit")]
)
def test_an_argument_out_of_range_is_named(
    cell: gs.LowSideCell, name: str, value: object, words: str
) -> None:
    with pytest.raises(gs.InputError, match=words) as error:
        gs.double_pulse(cell, **{name: value})  # type: ignore[arg-type]
    assert error.value.problems[0].path == name


@pytest.mark.parametrize(
    ("name", "value"), [("frequency", 0.0), ("frequency", "1 s"), ("duty", 1.5), ("duty", math.nan)]
)
def test_an_operation_out_of_range_is_named(cell: gs.LowSideCell, name: str, value: object) -> None:
    arguments = {"frequency": "50 kHz", "duty": 0.5} | {name: value}
    with pytest.raises(gs.InputError) as error:
        gs.operating_point(cell, **arguments)  # type: ignore[arg-type]
    assert error.value.problems[0].path == name


def test_a_tolerance_out_of_range_is_named(cell: gs.LowSideCell) -> None:
    with pytest.raises(gs.InputError, match="relative_tolerance = 1"):
        gs.double_pulse(cell, relative_tolerance=1.0)


def test_what_only_the_core_can_refuse_is_an_input_error_too(cell: gs.LowSideCell) -> None:
    with pytest.raises(gs.InputError, match=r"^cell: .*no steady state"):
        gs.operating_point(cell.replace(load={"inductance": "1 mH"}), frequency=1e5, duty=0.5)


def test_a_tighter_tolerance_moves_the_figures_little(cell: gs.LowSideCell, edges: gs.DoublePulse) -> None:
    tight = gs.double_pulse(cell, relative_tolerance=1e-8)
    assert tight.stats.steps > edges.stats.steps
    assert tight.turn_off.energy == pytest.approx(edges.turn_off.energy, rel=1e-3)


def test_the_ledger_closes(edges: gs.DoublePulse, point: gs.OperatingPoint) -> None:
    for result in (edges, point):
        assert result.succeeded
        assert result.energy_residual < 1e-6
        sums = dict.fromkeys(("delivered", "dissipated", "stored"), 0.0)
        for entry in result.ledger:
            sums[entry.kind] += entry.energy
        assert sums["delivered"] == pytest.approx(sums["dissipated"] + sums["stored"], rel=1e-5)


def test_instants_and_figures_of_an_edge_agree(edges: gs.DoublePulse) -> None:
    on, off = edges.turn_on, edges.turn_off
    assert on.drain_begin - on.gate_time == pytest.approx(on.delay)
    assert on.drain_end - on.drain_begin == pytest.approx(on.rise_time)
    assert off.drain_begin - off.gate_time == pytest.approx(off.delay)
    assert off.drain_end - off.drain_begin == pytest.approx(off.fall_time)
    assert (on.begin, on.end) == (0.0, edges.on_time)


@pytest.mark.parametrize("duty", [0.0, 1.0])
def test_a_duty_without_switching_is_said(cell: gs.LowSideCell, duty: float) -> None:
    with pytest.warns(gs.InputWarning, match="nothing switches"):
        result = gs.operating_point(cell, frequency="50 kHz", duty=duty)
    assert math.isnan(result.turn_on.rise_time)
    assert any(warning.path == "duty" for warning in result.warnings)


def test_the_device_laws_of_the_core_are_vectorised(cell: gs.LowSideCell) -> None:
    fet = cell.mosfet
    v_gs, v_ds = np.array([[2.0], [4.0], [12.0]]), np.array([0.1, 5.0])
    current = fet.channel_current(v_gs, v_ds)
    assert current.shape == (3, 2)
    assert np.all(np.diff(current, axis=0) > 0)
    ov = 4.0 - fet.channel.threshold_voltage
    square_law = (
        fet.channel.transconductance_factor / 2 * ov**2 / (1 + fet.channel.mobility_degradation / 2 * ov)
    )
    assert current[1, 1] == pytest.approx(square_law, rel=1e-3)
    capacitances = fet.capacitances(0.0, v_ds)
    assert capacitances["crss"][0] > capacitances["crss"][1]
    assert np.all(capacitances["ciss"] > capacitances["crss"])
    assert fet.body_diode_current(fet.body_diode.forward_voltage) == pytest.approx(
        fet.body_diode.forward_current
    )


def test_a_diode_goes_through_its_stated_point(cell: gs.LowSideCell) -> None:
    diode = cell.freewheel
    assert diode is not None
    junction = diode.forward_voltage - diode.resistance * diode.forward_current
    current = diode.saturation_current() * math.expm1(junction / diode.emission_voltage)
    assert current == pytest.approx(diode.forward_current, rel=1e-9)


def test_a_cell_that_is_still_settling_is_no_success(
    cell: gs.LowSideCell, monkeypatch: pytest.MonkeyPatch
) -> None:
    request = _core.OperatingPointRequest

    def impatient() -> _core.OperatingPointRequest:
        return fill(request(), maximum_periods=3, periodicity_tolerance=1e-12)

    monkeypatch.setattr(_core, "OperatingPointRequest", impatient)
    point = gs.operating_point(cell, frequency="50 kHz", duty=0.6, relative_tolerance=1e-4)
    assert point.status == "not_periodic"
    assert not point.succeeded
    assert "not periodic" in repr(point)
    assert np.isfinite(point.efficiency)
    assert np.isnan(point.junction_temperature)


def test_a_bulk_capacitor_of_thousands_of_periods_is_no_wait(cell: gs.LowSideCell) -> None:
    slow = cell.replace({"bus.resistance": "2 ohm", "bus.bulk_capacitance": "90 mF"})
    point = gs.operating_point(slow, frequency="50 kHz", duty=0.6, relative_tolerance=1e-4)
    assert point.succeeded
    assert point.periods < 60
    assert point.largest_multiplier > 0.999
    # In the mean no current flows into the capacitor: the source delivers what the cell takes.
    bus = np.trapezoid(point.waveform.values("v_bus"), point.waveform.times) / (
        point.waveform.end - point.waveform.begin
    )
    supply = next(entry.power for entry in point.ledger if entry.name == "bus supply")
    assert supply / cell.bus.voltage == pytest.approx((cell.bus.voltage - bus) / 2.0, rel=1e-3)


def test_the_channel_s_heat_is_that_of_the_ledger_and_differs_from_the_pins_by_what_c_oss_holds(
    cell: gs.LowSideCell,
) -> None:
    lossless = cell.replace({"mosfet.drift_resistance": 0.0}).replace(load=gs.Load(constant_current=6.0))
    edges = gs.double_pulse(lossless)
    ledger = {entry.name: entry.energy for entry in edges.ledger}
    on, off = edges.turn_on, edges.turn_off
    assert on.channel_heat + off.channel_heat == pytest.approx(ledger["channel"], rel=1e-6)
    core = lossless.mosfet.to_core()
    v_ds = float(edges.waveform.value("v_ds", edges.on_time + edges.off_time))
    stored = sum(float(_core.stored_energy(law, v_ds)) for law in (core.drain_source, core.gate_drain))
    # The gate loop gives and takes part of what C_GD holds; the package's inductances hold 6 A.
    assert off.total_energy - off.channel_heat == pytest.approx(stored, rel=0.15)
    assert on.channel_heat - on.total_energy == pytest.approx(stored, rel=0.15)
