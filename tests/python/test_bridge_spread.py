"""Spread of a half bridge: the same Monte Carlo runs, corners and sensitivities as of a low-side cell."""

from typing import Any

import numpy as np
import pytest

import gateswing as gs

AT: dict[str, Any] = {"frequency": "100 kHz", "duty": 0.3, "dead_time": "120 ns", "relative_tolerance": 1e-3}
QUIET: dict[str, Any] = {"progress": False}
SPREADS = {
    "low.mosfet.channel.threshold_voltage": gs.Spread(minimum="2.5 V", maximum="4 V"),
    "load.inductance": gs.Spread(tolerance="20 %", shape="uniform"),
}


def test_pieces_of_a_bridge_are_its_points(buck: gs.HalfBridgeCell) -> None:
    run = gs.monte_carlo(buck, SPREADS, 3, **AT, **QUIET)
    table = run.dataset
    assert table.sizes == {"sample": 3}
    assert (table["status"] == "done").all()
    piece = table.isel(sample=1)
    changes = {path: float(piece[path.replace(".", "__")]) for path in SPREADS}
    alone = gs.half_bridge_point(buck.replace(changes), **AT)
    assert float(piece["low_loss"]) == alone.low.loss
    # The ripple of a bridge goes with 1/L.
    inductance, ripple = table["load__inductance"].values, table["load_current_ripple"].values
    assert np.ptp(inductance * ripple) < 0.01 * np.mean(inductance * ripple)
    assert "total loss" in repr(run)
    with pytest.raises(gs.InputError, match=r"half bridge, whose yield.*low_peak_drain_voltage"):
        run.yield_against(gs.Limits())


def test_corners_and_sensitivities_of_a_bridge(buck: gs.HalfBridgeCell) -> None:
    one = {"dead_time": gs.Spread(minimum="100 ns", typical="120 ns", maximum="300 ns")}
    at = {name: value for name, value in AT.items() if name != "dead_time"}
    found = gs.corners(buck, one, **at, **QUIET)
    assert found.dataset["corner"].values.tolist() == ["typical", "-", "+"]
    bars = gs.tornado(buck, one, **at, **QUIET)
    (bar,) = bars.bars
    assert (bar.at_low, bar.typical, bar.at_high) == tuple(found.dataset["total_loss"].values[[1, 0, 2]])
    # The longer both are off, the longer a body diode conducts, at 7 A and about 0.8 V more than the channel.
    (diode,) = bars.about("reverse_conduction_loss").bars
    assert diode.at_high - diode.at_low == pytest.approx(200e-9 * 2 * 1e5 * 10.0 * 0.85, rel=0.3)
    with pytest.raises(gs.InputError, match="no such figure"):
        bars.about("on_share")


def test_what_is_of_low_side_cells_alone_says_what_there_is(buck: gs.HalfBridgeCell) -> None:
    optimise: Any = gs.objective
    with pytest.raises(gs.InputError, match=r"not a LowSideCell.*half bridges there are sweep"):
        optimise(buck, vary={"high.gate_resistance": (1, 10)}, frequency=1e5, duty=0.3)
    choose: Any = gs.choose_gate_resistance
    with pytest.raises(gs.InputError, match=r"not a LowSideCell.*sweep high\.gate_resistance"):
        choose(buck)
    move: Any = gs.explorer
    with pytest.raises(gs.InputError, match=r"not a LowSideCell.*half bridge there is quick_check"):
        move(buck)


def test_a_design_in_the_place_of_its_cell_is_told_what_to_give(design: gs.Design) -> None:
    sweep: Any = gs.sweep
    words = r"of the class Design\. Of a design give .* no axis: design\.cell, frequency=design\."
    with pytest.raises(gs.InputError, match=words):
        sweep(design, gate_resistance=[1.0, 2.0])
    ask: Any = gs.operating_point
    with pytest.raises(gs.InputError, match=r"of the class Design\. Give its field cell\."):
        ask(design, frequency=1e5, duty=0.5)
