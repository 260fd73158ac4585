"""Junction temperatures found with the steady state: against stated temperatures, and where there is none."""

import math

import pytest

import gateswing as gs

AMBIENT = 313.15
FREQUENCY, DUTY = 50e3, 0.6


def cooled(cell: gs.LowSideCell, resistance: object, **ways: object) -> gs.LowSideCell:
    mosfet = gs.HeatPath(junction_to_case=resistance)
    return cell.replace(cooling=gs.Cooling(ambient="40 degC", mosfet=mosfet, **ways))


def point_of(cell: gs.LowSideCell) -> gs.OperatingPoint:
    return gs.operating_point(cell, frequency=FREQUENCY, duty=DUTY)


def heat_of(point: gs.OperatingPoint, *elements: str) -> float:
    return sum(entry.power for entry in point.ledger if entry.name in elements)


def test_both_junctions_are_as_hot_as_their_losses_and_cooling_make_them(cell: gs.LowSideCell) -> None:
    diode = gs.HeatPath(junction_to_case="3 K/W", case_to_ambient="9 K/W")
    point = point_of(cooled(cell, "20 K/W", freewheel=diode))
    assert point.succeeded
    mosfet_heat = point.channel_loss + heat_of(point, "gate lead resistance")
    assert point.junction_temperature == pytest.approx(AMBIENT + 20.0 * mosfet_heat, rel=1e-6)
    diode_heat = heat_of(point, "freewheel diode", "freewheel resistance")
    assert diode_heat > 0.1
    assert point.freewheel_temperature == pytest.approx(AMBIENT + 12.0 * diode_heat, rel=1e-6)
    stated = cell.replace(
        junction_temperature=point.junction_temperature, freewheel_temperature=point.freewheel_temperature
    )
    assert point_of(stated).channel_loss == pytest.approx(point.channel_loss, rel=1e-6)


def test_the_gain_is_the_slope_of_the_losses_times_the_thermal_resistance(cell: gs.LowSideCell) -> None:
    point = point_of(cooled(cell, "20 K/W"))
    hot, cold = (
        point_of(cell.replace(junction_temperature=point.junction_temperature + step)) for step in (1.0, -1.0)
    )
    slope = (hot.channel_loss - cold.channel_loss) / 2.0
    assert point.thermal_gain == pytest.approx(20.0 * slope, rel=0.02)
    assert math.isnan(point.freewheel_temperature)


def test_too_little_cooling_is_a_runaway_with_its_gain(cell: gs.LowSideCell) -> None:
    point = point_of(cooled(cell.replace(mosfet__drift_resistance="60 mohm"), "190 K/W"))
    assert point.status == "thermal_runaway"
    assert not point.succeeded
    assert "junction of the MOSFET" in point.message
    assert point.runaway == "junction_temperature"
    assert f"{point.thermal_gain:.2f}" in point.message
    assert "thermal runaway" in repr(point)
    # There is no steady temperature, so none is told.
    assert math.isnan(point.junction_temperature)
    assert math.isnan(point.freewheel_temperature)


def test_a_ladder_gives_its_total_resistance() -> None:
    ladder = gs.FosterLadder(resistances=[0.2, 0.8], time_constants=[1e-3, 0.1])
    assert gs.HeatPath(junction_to_case=ladder, case_to_ambient="9 K/W").total_resistance == 10.0
    assert gs.HeatPath(junction_to_case=ladder.to_cauer()).total_resistance == pytest.approx(1.0)


def test_without_cooling_nothing_is_found(point: gs.OperatingPoint) -> None:
    assert math.isnan(point.junction_temperature)
    assert math.isnan(point.thermal_gain)


def test_a_sweep_carries_temperatures_and_runaways(cell: gs.LowSideCell) -> None:
    table = gs.sweep(
        cooled(cell.replace(mosfet__drift_resistance="60 mohm"), "20 K/W"),
        frequency=FREQUENCY,
        duty=DUTY,
        axes={"cooling.mosfet.junction_to_case": [5.0, 20.0, 190.0]},
    )
    temperatures = table.junction_temperature.values.ravel()
    assert temperatures[0] < temperatures[1]
    assert math.isnan(temperatures[2])
    assert list(table.status.values.ravel()) == ["done", "done", "thermal_runaway"]


def test_a_cooling_of_nothing_or_of_no_diode_is_refused(cell: gs.LowSideCell) -> None:
    with pytest.raises(gs.InputError, match="cools nothing"):
        gs.Cooling(ambient="40 degC")
    way = gs.HeatPath(junction_to_case=1.0)
    with pytest.raises(gs.InputError, match="no freewheel diode"):
        gs.LowSideCell(
            bus="24 V",
            mosfet=cell.mosfet,
            driver=cell.driver,
            load=gs.Load(resistance="4.8 ohm"),
            cooling=gs.Cooling(freewheel=way),
        )
