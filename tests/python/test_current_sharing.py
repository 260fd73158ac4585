"""MOSFETs in parallel: against one scaled MOSFET, Kirchhoff's laws, conductances, and a damped gate loop."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

import gateswing as gs

Floats = NDArray[np.float64]
# After the turn-on, while gates may ring against each other [s].
RING = np.linspace(60e-9, 400e-9, 20001)


@pytest.fixture(scope="module")
def stage() -> gs.LowSideCell:
    """Invented: 24 V, 12 A, a gate resistor for all."""
    return gs.LowSideCell(
        bus="24 V",
        mosfet="standard-60V",
        driver="driver-ic-strong",
        gate_resistance="4.7 ohm",
        freewheel="schottky-60V",
        load={"constant_current": "12 A"},
        loop_inductance="15 nH",
        loop_resistance="20 mohm",
    )


@pytest.fixture(scope="module")
def fet(stage: gs.LowSideCell) -> gs.Mosfet:
    return stage.mosfet


def scaled(fet: gs.Mosfet, n: float) -> gs.Mosfet:
    """A die n times as large: n times each current, charge, an n-th of each resistance and inductance."""
    more = (
        "channel.transconductance_factor",
        "gate_source_capacitance.low",
        "gate_source_capacitance.high",
        "gate_drain_capacitance.zero_bias",
        "gate_drain_capacitance.floor",
        "gate_drain_capacitance.ceiling",
        "drain_source_capacitance.zero_bias",
        "drain_source_capacitance.floor",
        "drain_source_capacitance.ceiling",
        "body_diode.forward_current",
    )
    less = (
        "internal_gate_resistance",
        "drift_resistance",
        "gate_inductance",
        "drain_inductance",
        "source_inductance",
        "breakdown_resistance",
    )
    changes = {path: n * fet.value_at(path) for path in more if fet.value_at(path) is not None}
    return fet.replace(changes | {path: fet.value_at(path) / n for path in less})


@pytest.mark.parametrize("n", [2, 3])
def test_equal_mosfets_in_parallel_are_one_of_their_size(
    stage: gs.LowSideCell, fet: gs.Mosfet, n: int
) -> None:
    times: dict[str, Any] = {"on_time": "2 us", "off_time": "1 us", "relative_tolerance": 1e-8}
    together = gs.current_sharing(stage, [fet] * n, **times)
    alone = gs.double_pulse(stage.replace(mosfet=scaled(fet, n)), **times)
    assert together.succeeded, together.message
    for name, value in alone.turn_off.values().items():
        share = n if name in {"energy", "total_energy", "channel_heat", "maximum_current_slope"} else 1
        if name not in {"energy", "maximum_current_slope"}:  # their limits count the current of all
            assert share * getattr(together.turn_off, name) == pytest.approx(value, rel=1e-4, abs=1e-9), name
    for name in ("delay", "rise_time", "plateau_voltage", "maximum_voltage_slope", "peak_driver_current"):
        assert getattr(together.turn_on, name) == pytest.approx(getattr(alone.turn_on, name), rel=1e-4), name
    assert sum(together.of_all("turn_on_energy")) == pytest.approx(alone.turn_on.channel_heat, rel=1e-4)
    assert sum(together.of_all("turn_off_energy")) == pytest.approx(alone.turn_off.channel_heat, rel=1e-4)
    assert sum(together.of_all("peak_turn_on_current")) == pytest.approx(
        alone.turn_on.peak_drain_current, rel=1e-4
    )
    for one in together.mosfets:
        assert one.on_current == pytest.approx(alone.waveform.value("i_d", 2e-6) / n, rel=1e-4)
        assert one.static_share == pytest.approx(1.0 / n)


def test_at_rest_the_current_divides_by_the_conductances(stage: gs.LowSideCell, fet: gs.Mosfet) -> None:
    better = fet.replace({"drift_resistance": 0.2 * fet.drift_resistance})
    found = gs.current_sharing(stage, [fet, better], on_time="40 us", off_time="1 us")
    total = sum(found.of_all("on_current"))
    for one in found.mosfets:
        assert one.on_current / total == pytest.approx(one.static_share, rel=2e-3)
    assert found.mosfets[1].static_share > 0.55


def test_the_lower_threshold_turns_on_first_and_off_last_and_takes_more(
    stage: gs.LowSideCell, fet: gs.Mosfet
) -> None:
    threshold = fet.channel.threshold_voltage
    low, high = (fet.replace({"channel.threshold_voltage": threshold + change}) for change in (-0.4, 0.4))
    found = gs.current_sharing(stage, [low, high])
    first, last = found.mosfets
    assert first.turn_on_time < last.turn_on_time
    assert first.turn_off_time > last.turn_off_time
    assert first.peak_turn_on_current > last.peak_turn_on_current
    assert first.peak_turn_off_current > 1.1 * last.peak_turn_off_current
    assert first.turn_on_energy > 1.2 * last.turn_on_energy
    assert first.turn_off_energy > 1.2 * last.turn_off_energy


def test_currents_and_heat_add_up(stage: gs.LowSideCell, fet: gs.Mosfet) -> None:
    other = fet.replace({"channel.threshold_voltage": fet.channel.threshold_voltage + 0.3})
    found = gs.current_sharing(stage, [fet, other, fet])
    assert found.energy_residual < 1e-6
    wave = found.waveform
    times = np.linspace(0.0, wave.end, 2001)
    drains = sum(wave.value(name, times) for name in ("i_d", "i_d_2", "i_d_3"))
    # At the node behind the loop's inductance, without snubber or clamp: load less freewheel diode.
    assert np.max(np.abs(drains - wave.value("i_load", times) + wave.value("i_freewheel", times))) < 1e-6
    heat = sum(entry.energy for entry in found.ledger if entry.name.endswith("channel"))
    edges = sum(found.of_all("turn_on_energy")) + sum(found.of_all("turn_off_energy"))
    assert edges == pytest.approx(heat, rel=1e-5)


def test_gates_that_ring_against_each_other_are_told_and_damped_by_own_resistors(
    stage: gs.LowSideCell, fet: gs.Mosfet
) -> None:
    """A series resonance of input capacitance and leads.

    On, drain and source are one node of the die, so that their leads are in parallel.
    """
    lively = fet.replace({"internal_gate_resistance": 0.2, "gate_inductance": "12 nH"})
    other = lively.replace({"channel.threshold_voltage": fet.channel.threshold_voltage + 0.4})

    def pulse(own: float) -> tuple[gs.CurrentSharing, Floats]:
        """The answer, and the voltage from gate to gate over the ring."""
        parts = [gs.ParallelMosfet(mosfet=one, gate_resistance=own) for one in (lively, other)]
        found = gs.current_sharing(stage, parts, on_time="2 us")
        apart = found.waveform.value("v_gs", RING) - found.waveform.value("v_gs_2", RING)
        return found, np.asarray(apart)

    with pytest.warns(gs.InputWarning, match="from gate to gate there is little resistance") as told:
        ringing, apart = pulse(0.0)
    assert sum("gate_resistance: from gate to gate" in str(one.message) for one in told) == 2
    crossings = RING[:-1][np.diff(np.sign(apart)) != 0.0]
    frequency = 0.5 * (len(crossings) - 1) / (crossings[-1] - crossings[0])
    leads = fet.source_inductance * fet.drain_inductance / (fet.source_inductance + fet.drain_inductance)
    capacitance = float(fet.capacitances(12.0, 0.0)["ciss"])
    assert frequency == pytest.approx(1 / (2 * np.pi * np.sqrt((12e-9 + leads) * capacitance)), rel=0.01)
    damped, calm = pulse(3.0)
    assert ringing.mosfets[0].gate_ring_quality == pytest.approx(16 * damped.mosfets[0].gate_ring_quality)
    assert not any("gate to gate" in str(one) for one in damped.warnings)
    # From 100 ns on; before that the gates part because their thresholds do.
    assert np.ptp(calm[RING > 100e-9]) < 0.05 * np.ptp(apart[RING > 100e-9])


def test_gates_without_any_resistance_ring_most_of_all(stage: gs.LowSideCell, fet: gs.Mosfet) -> None:
    bare = fet.replace({"internal_gate_resistance": 0.0, "gate_inductance": "5 nH"})
    with pytest.warns(gs.InputWarning, match="from gate to gate there is little resistance"):
        found = gs.current_sharing(stage, [bare, bare], relative_tolerance=1e-3)
    assert found.of_all("gate_ring_quality") == (np.inf, np.inf)


def test_one_mosfet_or_four_are_refused(stage: gs.LowSideCell, fet: gs.Mosfet) -> None:
    for count in (1, 4):
        with pytest.raises(gs.InputError, match="not that many in parallel"):
            gs.current_sharing(stage, [fet] * count)
    with pytest.raises(gs.InputError, match=r"mosfets\.1\.gate_resistance") as error:
        gs.current_sharing(stage, [fet, {"mosfet": fet, "gate_resistance": -1}])
    assert error.value.problems[0].path == "mosfets.1.gate_resistance"
    with pytest.raises(gs.InputError, match=r"mosfets\.0"):
        gs.current_sharing(stage, ["no-such-part", fet])


def test_the_answer_prints_a_table_for_each(stage: gs.LowSideCell) -> None:
    found = gs.current_sharing(stage, ["standard-60V", {"mosfet": {"part": "standard-60V", "corner": "max"}}])
    text = repr(found)
    assert "MOSFET 1 of 2, 12 A in all" in text
    assert "MOSFET 2 of 2" in text
    assert "static share" in text
