"""The round trip: a sheet made from an invented part, a model fitted to it, and both parts compared.

The parts are those of fixed seeds. GATESWING_ROUND_TRIP=all runs all 200 of them, else every ninth.
"""

import os
from typing import Any

import numpy as np
import pytest

import gateswing as gs
from gateswing.datasheet.entries import sheet_of
from gateswing.datasheet.fit import fit_mosfet
from gateswing.datasheet.sheet import MosfetSheet, SwitchingEntry
from gateswing.test_bench.virtual_bench import switching_cell

ALL = range(200)
CASES = ALL if os.environ.get("GATESWING_ROUND_TRIP") == "all" else ALL[::9]


def random_capacitances(rng: np.random.Generator, on: float, threshold: float) -> dict[str, Any]:
    """In inverse proportion to the on-resistance [ohm], as chips of one voltage class grow."""
    zero_bias = 1e-11 / on * rng.uniform(0.3, 1.0)
    return {
        "gate_source_capacitance": gs.StepCapacitance(
            low=2.5e-11 / on,
            high=2.5e-11 / on * rng.uniform(1.0, 1.6),
            centre=threshold * rng.uniform(0.3, 1.1),
        ),
        "gate_drain_capacitance": gs.DepletionCapacitance(
            zero_bias=zero_bias,
            potential=rng.uniform(0.5, 1.5),
            grading=rng.uniform(0.4, 0.8),
            floor=zero_bias * rng.uniform(0.005, 0.03),
            ceiling=zero_bias * rng.uniform(1.3, 4.0),
        ),
        "drain_source_capacitance": gs.DepletionCapacitance(
            zero_bias=3.5e-11 / on,
            potential=rng.uniform(0.5, 1.0),
            grading=rng.uniform(0.35, 0.6),
            floor=7e-13 / on,
        ),
    }


def random_part(rng: np.random.Generator) -> tuple[gs.Mosfet, MosfetSheet]:
    """An invented MOSFET with the spread of the trade, and a sheet with conditions that suit it."""
    voltage = float(rng.choice([40.0, 60.0, 100.0, 150.0]))
    on = float(np.exp(rng.uniform(np.log(2e-3), np.log(0.1))))
    threshold = float(rng.uniform(1.4, 3.8))
    current = 0.25 / on
    fet = gs.Mosfet(
        channel=gs.MosfetChannel(
            threshold_voltage=threshold,
            transconductance_factor=rng.uniform(1.5, 4.0) / (on * (10.0 - threshold)),
            mobility_degradation=rng.uniform(0.02, 0.2),
            subthreshold_voltage=rng.uniform(0.04, 0.08),
        ),
        body_diode=gs.BodyDiode(
            forward_voltage=0.8,
            forward_current=current,
            transit_time=rng.uniform(10e-9, 60e-9),
            lifetime=rng.uniform(30e-9, 200e-9),
        ),
        drift_resistance=on * rng.uniform(0.2, 0.6),
        breakdown_voltage=voltage,
        **random_capacitances(rng, on, threshold),
    )
    return fet, conditions_for(voltage, on, threshold, current)


def conditions_for(voltage: float, on: float, threshold: float, current: float) -> MosfetSheet:
    """Where its figures would be measured; the values here only hold their places."""
    points = [{"value": 1e-9, "drain_voltage": share * voltage} for share in (0.1, 0.25, 0.5)]
    supply = 0.5 * voltage
    return MosfetSheet(
        threshold={"typical": threshold, "drain_current": 250e-6},
        on_resistance=[
            {"value": on, "gate_voltage": v_gs, "drain_current": i}
            for v_gs, i in ((10.0, current), (threshold + 3.0, current / 4))
        ],
        transconductance={"value": 1.0, "drain_current": current},
        input_capacitance=points,
        output_capacitance=points,
        reverse_capacitance=points,
        gate_charge={"drain_voltage": supply, "drain_current": current, "gate_voltage": 10.0},
        output_charge={"drain_voltage": supply},
        body_diode={"voltage": 0.8, "current": current},
        reverse_recovery={"forward_current": current, "current_slope": current * 5e6},
        breakdown_voltage=voltage,
    )


def standard_cell(fet: gs.Mosfet, conditions: MosfetSheet) -> gs.LowSideCell:
    """Clamped inductive, at the conditions of the gate charge."""
    entry = conditions.gate_charge
    assert entry
    return switching_cell(
        fet,
        SwitchingEntry(
            drain_voltage=entry.drain_voltage,
            drain_current=entry.drain_current,
            gate_voltage=entry.gate_voltage,
            gate_resistance=4.7,
            load="inductive",
        ),
    )


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
@pytest.mark.parametrize("case", CASES)
def test_a_part_is_recovered_from_its_sheet(case: int) -> None:
    fet, conditions = random_part(np.random.default_rng([20, case]))
    fit = fit_mosfet(sheet_of(fet, conditions))
    shown = f"{fet!r}\n{fit!r}"
    deviations = {row.path: row.deviation for row in fit.report}
    assert max(map(abs, deviations.values())) < 0.01, shown
    charges = [
        deviations[f"gate_charge.{name}"] for name in ("total", "threshold", "gate_source", "gate_drain")
    ]
    assert np.abs(charges).max() < 0.02, shown

    # Over the drain voltages that the sheet spans, not only at its points.
    voltage = np.linspace(0.1, 0.5, 41) * fet.breakdown_voltage
    given, found = fet.capacitances(0.0, voltage), fit.mosfet.capacitances(0.0, voltage)
    for name, curve in given.items():
        assert found[name] == pytest.approx(curve, rel=0.05), f"{name}\n{shown}"

    one, other = (gs.double_pulse(standard_cell(m, conditions)) for m in (fet, fit.mosfet))
    assert other.turn_on.energy == pytest.approx(one.turn_on.energy, rel=0.05), shown
    assert other.turn_off.energy == pytest.approx(one.turn_off.energy, rel=0.05), shown
