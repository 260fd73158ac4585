"""What varies from piece to piece: distributions, samples, corners, sensitivities and yield."""

from importlib import resources
from pathlib import Path
from typing import Any

import matplotlib as mpl
import numpy as np
import pytest
from matplotlib import pyplot as plt
from matplotlib.patches import Rectangle
from matplotlib.text import Text
from scipy.stats import truncnorm  # type: ignore[import-untyped]

import gateswing as gs
from gateswing.tolerance import sensitivity
from gateswing.tolerance.spreads import distributions, sample
from gateswing.tolerance.yields import held_by_limit, limit_margins

POINT: dict[str, Any] = {"frequency": 1e5, "duty": 0.5, "relative_tolerance": 1e-3}
THRESHOLD = "mosfet.channel.threshold_voltage"
SPREADS = {
    THRESHOLD: gs.Spread(minimum="2.5 V", maximum="4 V"),
    "load.resistance": gs.Spread(tolerance="10 %", shape="uniform"),
    "gate_resistance": gs.Spread(minimum=8, maximum=13, shape="triangular"),
}
SHARES = np.linspace(0.0, 1.0, 1001)


def quantile(cell: gs.LowSideCell, spread: gs.Spread, path: str = "gate_resistance") -> Any:
    return distributions(cell, {path: spread})[0].quantile


def test_equal_sides_make_a_normal_distribution_cut_off_at_three_deviations(cell: gs.LowSideCell) -> None:
    found = quantile(cell, gs.Spread(tolerance="30 %"))(SHARES)  # of 10 ohm: a standard deviation is 1 ohm
    assert found == pytest.approx(truncnorm.ppf(SHARES, -3, 3, 10.0, 1.0), abs=1e-9)


def test_unequal_sides_meet_in_the_typical_value_with_one_density(cell: gs.LowSideCell) -> None:
    found = quantile(cell, gs.Spread(minimum=7, typical=10, maximum=19))
    assert found([0.0, 0.25, 1.0]).tolist() == pytest.approx([7.0, 10.0, 19.0])  # 3 of 12 ohm lie to its left
    step = 1e-6
    left, right = found(0.25) - found(0.25 - step), found(0.25 + step) - found(0.25)
    assert left == pytest.approx(right, rel=1e-4)
    assert (np.diff(found(SHARES)) > 0.0).all()


@pytest.mark.parametrize("typical", [7, 19])
def test_a_typical_value_at_a_limit_leaves_one_half(cell: gs.LowSideCell, typical: float) -> None:
    found = quantile(cell, gs.Spread(minimum=7, typical=typical, maximum=19))(SHARES)
    assert np.isfinite(found).all()
    assert found[[0, -1]] == pytest.approx([7.0, 19.0])
    half = truncnorm.ppf(0.5, 0, 3, 0.0, 4.0)
    assert abs(found[500] - typical) == pytest.approx(half)


def test_other_shapes_keep_to_their_closed_forms(cell: gs.LowSideCell) -> None:
    uniform = quantile(cell, gs.Spread(minimum=8, maximum=12, shape="uniform"))
    assert uniform(SHARES) == pytest.approx(8.0 + 4.0 * SHARES)
    triangle = quantile(cell, gs.Spread(minimum=8, maximum=13, shape="triangular"))  # its peak is at 10
    assert triangle([0.0, 0.4, 1.0]) == pytest.approx([8.0, 10.0, 13.0])
    assert triangle(0.1) == pytest.approx(8.0 + np.sqrt(0.1 * 5.0 * 2.0))
    wiring = quantile(
        cell, gs.Spread(minimum="5 nH", maximum="20 nH", shape="log_uniform"), "loop_inductance"
    )
    assert wiring([0.0, 0.5, 1.0]) == pytest.approx([5e-9, 10e-9, 20e-9])
    constant = quantile(cell, gs.Spread(minimum=10, maximum=10))
    assert constant([0.0, 0.5]).tolist() == [10.0, 10.0]


def test_a_latin_hypercube_has_one_sample_in_each_stratum(cell: gs.LowSideCell) -> None:
    """McKay, Beckman, Conover, Technometrics 21 (1979) 239-245."""
    found = distributions(cell, {path: gs.Spread(minimum=10, maximum=20, shape="uniform") for path in
                                 ("gate_resistance", "load.resistance")})  # fmt: skip
    for values in sample(found, 50, 3, "latin_hypercube").values():
        assert sorted(((values - 10.0) / 10.0 * 50).astype(int)) == list(range(50))


def test_samples_follow_the_seed_and_nothing_else(cell: gs.LowSideCell) -> None:
    found = distributions(cell, SPREADS)
    for method in ("latin_hypercube", "sobol", "random"):
        drawn = [sample(found, 8, seed, method)[THRESHOLD].tolist() for seed in (1, 1, 2)]
        assert drawn[0] == drawn[1] != drawn[2]
    halves = sample(found, 64, 5, "sobol")["load.resistance"] > 4.8
    assert halves.sum() == 32


@pytest.fixture(scope="module")
def run(quick_cell: gs.LowSideCell) -> gs.MonteCarlo:
    return gs.monte_carlo(quick_cell, SPREADS, 32, method="sobol", seed=4, **POINT)


def test_every_piece_is_its_own_operating_point(run: gs.MonteCarlo) -> None:
    table = run.dataset
    assert dict(table.sizes) == {"sample": 32}
    # A resistive load draws bus voltage over resistance while the switch is on; drops are a per cent.
    current = 48.0 / table["load__resistance"] * table["on_share"]
    assert table["mean_load_current"].values == pytest.approx(current.values, rel=0.02)
    piece = gs.point_of(table.isel(sample=5))
    assert isinstance(piece, gs.OperatingPoint)
    assert piece.cell.load.resistance == table["load__resistance"][5]
    assert piece.total_loss == table["total_loss"][5]


def test_a_run_prints_its_quantiles(run: gs.MonteCarlo) -> None:
    assert "32 of 32 pieces answered, sobol, seed 4" in repr(run)
    line = next(line for line in repr(run).splitlines() if line.startswith("mean load current"))
    assert len(line.split("  ")) > 5
    assert "energy residual" not in repr(run)
    assert run._repr_html_().startswith("<table><caption>Monte Carlo")


def test_a_plain_number_is_printed_as_one_and_a_share_in_per_cent(quick_cell: gs.LowSideCell) -> None:
    cooled = quick_cell.replace(cooling=gs.Cooling(mosfet=gs.HeatPath(junction_to_case=20.0)))
    run = gs.monte_carlo(cooled, {"gate_resistance": SPREADS["gate_resistance"]}, 1, **POINT)
    point = gs.point_of(run.dataset.isel(sample=0))
    lines = {line.split("  ")[0].strip(): line for line in repr(run).splitlines()}
    assert f" {point.thermal_gain:.4g} " in lines["thermal gain"]
    assert "%" not in lines["thermal gain"]
    assert f" {100 * point.efficiency:.4g} %" in lines["efficiency"]
    found = gs.tornado(cooled, {"gate_resistance": SPREADS["gate_resistance"]}, "thermal_gain", **POINT)
    assert (found.unit, found.about("efficiency").unit) == ("", "%")
    (axes,) = run.plot("thermal_gain").axes
    assert axes.get_xlabel() == "thermal gain"
    plt.close("all")


def test_a_single_piece_is_a_run_too(quick_cell: gs.LowSideCell) -> None:
    one = gs.monte_carlo(quick_cell, SPREADS, 1, **POINT)
    assert dict(one.dataset.sizes) == {"sample": 1}
    assert "1 of 1 pieces answered" in repr(one)


def test_yield_counts_pieces_within_limits(run: gs.MonteCarlo) -> None:
    losses = np.sort(run.dataset["total_loss"].values)
    limits = gs.Limits(
        maximum_total_loss=float(losses[23] * 1.0001), maximum_gate_voltage=20, minimum_efficiency=0.5
    )
    found = run.yield_against(limits)
    assert [(entry.name, entry.held) for entry in found.entries] == [
        ("maximum total loss", 24),
        ("switches fully", 32),
        ("maximum drain voltage", 32),
        ("maximum gate voltage", 32),
        ("minimum efficiency", 32),
        ("maximum duty error", 32),
        ("maximum avalanche energy", 32),
        ("all limits", 24),
    ]
    assert "24  32" in repr(found)
    spoilt = run.dataset.copy(deep=True)
    spoilt["status"][:2] = "lost"
    without = gs.yield_of(spoilt, gs.Limits(maximum_total_loss="1 kW"))
    assert {entry.held for entry in without.entries} == {30}
    assert without.unanswered == 2
    assert "2 without an answer count as exceeded" in repr(without)


@pytest.mark.parametrize(
    ("part", "limits"),
    [
        ({}, {}),
        ({}, {"minimum_efficiency": "99.9 %"}),
        ({"mosfet.rated_drain_voltage": "45 V"}, {}),
        ({"mosfet.rated_drain_voltage": "45 V"}, {"maximum_drain_voltage": "60 V"}),
        ({"mosfet.maximum_gate_voltage": "11 V"}, {}),
        ({"mosfet.breakdown_voltage": "44 V"}, {}),  # an avalanche, and none is allowed
        ({"mosfet.breakdown_voltage": "44 V"}, {"maximum_avalanche_energy": "1 J"}),
        ({"gate_resistance": "400 ohm"}, {}),  # a duty error of more than 10 %
        ({"cooling": {"ambient": "40 degC", "mosfet": {"junction_to_case": "1 K/W"}}}, {}),
        ({"cooling": {"ambient": "145 degC", "mosfet": {"junction_to_case": "15 K/W"}}}, {}),
    ],
)
@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
def test_a_yield_and_an_optimiser_judge_as_a_check_does(
    quick_cell: gs.LowSideCell, part: dict[str, Any], limits: dict[str, str]
) -> None:
    cell = quick_cell.replace(part)
    design = gs.Design(cell=cell, operation=gs.Operation(frequency=1e5, duty=0.5), limits=gs.Limits(**limits))
    checks = {one.name: one for one in gs.quick_check(design, relative_tolerance=1e-6).checks}
    table = gs.sweep(cell, frequency=1e5, duty=0.5)
    held = held_by_limit(table, design.limits)
    always = {"drain voltage", "gate voltage", "duty error", "avalanche energy"}
    assert {f"maximum {name}" for name in always} <= set(held)
    for name, kept in held.items():
        assert bool(kept.all()) == (checks[name.replace(" ", "_")].verdict != "exceeded"), name
    for name, margin in limit_margins(table, design.limits).items():
        judged_by_another = name == "maximum_drain_voltage" and checks["maximum_avalanche_energy"].figure
        if not judged_by_another:
            assert float(margin.item()) == pytest.approx(checks[name].margin, rel=1e-3), name
    cost = gs.objective(
        cell, vary={"loop_resistance": (0.0, 1e-6)}, frequency=1e5, duty=0.5, limits=design.limits
    )
    assert (cost([0.5]) == pytest.approx(1.0)) == all(kept.all() for kept in held.values())


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
def test_a_rating_that_is_swept_holds_point_by_point(quick_cell: gs.LowSideCell) -> None:
    axes = {"mosfet.rated_drain_voltage": ["45 V", "85 V"]}
    table = gs.sweep(quick_cell, frequency=1e5, duty=0.5, axes=axes)
    held = held_by_limit(table, gs.Limits())["maximum drain voltage"]
    assert held.ravel().tolist() == [False, True]


@pytest.mark.parametrize(
    ("held", "lower", "upper"),
    [
        (10, 0.025 ** (1 / 10), 1.0),  # closed form where all hold
        (0, 0.0, 1.0 - 0.025 ** (1 / 10)),
        (8, 0.4439, 0.9748),  # printed in many tables of the exact binomial interval; from memory
    ],
)
def test_bounds_are_those_of_clopper_and_pearson(
    run: gs.MonteCarlo, held: int, lower: float, upper: float
) -> None:
    ten = run.dataset.isel(sample=slice(10)).copy(deep=True)
    ten["total_loss"].values[:] = np.where(np.arange(10) < held, 1.0, 3.0)
    entry = gs.yield_of(ten, gs.Limits(maximum_total_loss=2.0)).overall
    assert (entry.held, entry.count) == (held, 10)
    assert (entry.lower, entry.upper) == pytest.approx((lower, upper), abs=1e-4)


def test_corners_are_every_combination_of_limits(quick_cell: gs.LowSideCell) -> None:
    found = gs.corners(quick_cell, {path: SPREADS[path] for path in (THRESHOLD, "load.resistance")}, **POINT)
    table = found.dataset
    assert table["corner"].values.tolist() == ["typical", "--", "-+", "+-", "++"]
    assert table["load__resistance"].values == pytest.approx([8.0, 7.2, 8.8, 7.2, 8.8])
    assert table["mosfet__channel__threshold_voltage"].values.tolist() == [3.1, 2.5, 2.5, 4.0, 4.0]
    assert found.worst("mean_load_current")["load__resistance"] == pytest.approx(7.2)
    assert found.worst("mean_load_current", largest=False)["load__resistance"] == pytest.approx(8.8)
    assert "5 of 5 corners answered" in repr(found)
    assert "<th>typical</th>" in found._repr_html_()


def test_a_tornado_moves_one_quantity_at_a_time(quick_cell: gs.LowSideCell, tmp_path: Path) -> None:
    spreads = SPREADS | {"duty": gs.Spread(minimum=0.45, typical=0.5, maximum=0.55)}
    found = gs.tornado(quick_cell, spreads, "mean_load_current", **(POINT | {"duty": None}))
    names = [bar.spread.path for bar in found.bars]
    assert names[:2] == [
        "load.resistance",
        "duty",
    ]  # 10 % of either; the current is as 1/R, so more than 20 %
    load = found.bars[0]
    assert load.at_low / found.typical == pytest.approx(1 / 0.9, rel=0.01)
    assert load.at_high / found.typical == pytest.approx(1 / 1.1, rel=0.01)
    assert [bar.range for bar in found.bars] == sorted((bar.range for bar in found.bars), reverse=True)
    assert found.about("rise_time").bars[0].spread.path in (THRESHOLD, "gate_resistance")
    assert "mean load current, 3." in repr(found)
    with mpl.rc_context({"backend": "Agg"}):
        drawn = found.plot()
        drawn.savefig(tmp_path / "figure.png")
    shown = "\n".join(text.get_text() for text in drawn.findobj(Text) if isinstance(text, Text))
    for words in ("mean load current (A)", "7.2 ohm", "8.8 ohm", "resistance of load", "at its minimum"):
        assert words in shown
    widths = [bar.get_width() for bar in drawn.axes[0].patches if isinstance(bar, Rectangle)]
    assert sum(map(abs, widths[:2])) == pytest.approx(load.range)
    plt.close("all")


def test_a_range_of_temperatures_is_in_kelvin(quick_cell: gs.LowSideCell) -> None:
    """The temperatures themselves are printed in degrees Celsius, between which a difference has no zero."""
    cooled = quick_cell.replace(cooling=gs.Cooling(mosfet=gs.HeatPath(junction_to_case=20.0)))
    found = gs.tornado(
        cooled, {"gate_resistance": SPREADS["gate_resistance"]}, "junction_temperature", **POINT
    )
    last = repr(found).splitlines()[-1].split()
    assert last[-1] == "K"
    assert float(last[-2]) == pytest.approx(found.bars[0].range, rel=1e-3)


def test_a_misspelt_figure_is_named_before_anything_is_computed(
    quick_cell: gs.LowSideCell, run: gs.MonteCarlo, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = gs.tornado(quick_cell, {"gate_resistance": SPREADS["gate_resistance"]}, **POINT)
    corners = gs.corners(quick_cell, {"gate_resistance": SPREADS["gate_resistance"]}, **POINT)
    monkeypatch.setattr(sensitivity, "run_plan", None)
    words = r"figure = 'total_los': no such figure\. Did you mean 'total_loss'\?"
    for ask in (
        lambda: gs.tornado(quick_cell, SPREADS, "total_los", **POINT),
        lambda: found.about("total_los"),
        lambda: corners.worst("total_los"),
        lambda: run.plot("total_los"),
    ):
        with pytest.raises(gs.InputError, match=words):
            ask()


def test_an_optimum_inside_the_limits_counts_as_range(quick_cell: gs.LowSideCell) -> None:
    found = gs.tornado(quick_cell, {"gate_resistance": SPREADS["gate_resistance"]}, **POINT)
    found.dataset["total_loss"].values[:] = [1.0, 3.0, 2.5]
    assert found.bars[0].range == 2.0
    found.dataset["total_loss"].values[1] = np.nan
    assert np.isnan(found.bars[0].range)


def test_a_histogram_counts_every_piece_and_marks_those_beyond(run: gs.MonteCarlo) -> None:
    losses = np.sort(run.dataset["total_loss"].values)
    with mpl.rc_context({"backend": "Agg"}):
        figure = run.plot("total_loss", limit=float(losses[23]))
    shown = "\n".join(text.get_text() for text in figure.findobj(Text) if isinstance(text, Text))
    assert "8 beyond" in shown
    assert "Total loss of 32 pieces" in shown
    heights = [bar.get_height() for bar in figure.axes[0].patches if isinstance(bar, Rectangle)]
    assert sum(heights) == 32 + 8
    plt.close("all")


def test_a_limit_in_a_picture_has_a_unit(run: gs.MonteCarlo) -> None:
    median = float(run.dataset["total_loss"].median())
    texts = [
        text.get_text()
        for limit in (median, f"{1e3 * median:.17g} mW")
        for text in run.plot("total_loss", limit).findobj(Text)
        if "beyond" in text.get_text()
    ]
    assert len(texts) == 2
    assert texts[0] == texts[1]
    assert any("limit 50 %" in text.get_text() for text in run.plot("efficiency", "50 %").findobj(Text))
    with pytest.raises(gs.InputError, match="limit = '3 V'"):
        run.plot("total_loss", "3 V")
    plt.close("all")


def test_a_thousand_unusual_values_are_one_warning(quick_cell: gs.LowSideCell) -> None:
    spread = {"loop_resistance": gs.Spread(minimum="1 uohm", maximum="9 uohm", shape="uniform")}
    with pytest.warns(gs.InputWarning, match="loop_resistance") as issued:
        gs.monte_carlo(quick_cell, spread, 8, **POINT)
    assert len(issued) == 1


def test_a_sheet_s_limits_move_the_model_s_threshold(cell: gs.LowSideCell) -> None:
    """Printed 2.1, 3 and 3.9 V at a small current; the model's threshold is 3.1 V."""
    sheet = gs.read_sheet(str(resources.files("gateswing") / "examples" / "mosfet_sheet.toml"))
    limits = {"minimum": 2.1, "typical": 3.0, "maximum": 3.9}
    threshold = sheet.threshold.replace(limits)
    (found,) = distributions(cell, gs.sheet_spreads(sheet.replace(threshold=threshold), cell.mosfet))
    assert (found.low, found.typical, found.high) == pytest.approx((2.2, 3.1, 4.0))
    with pytest.raises(gs.InputError, match="does not print minimum and maximum"):
        gs.sheet_spreads(sheet.replace(threshold=threshold.replace(minimum=None)), cell.mosfet)


@pytest.mark.parametrize(
    ("spreads", "words"),
    [
        ({}, "spreads = {}: no fields"),
        ({"gate_resistence": gs.Spread(tolerance=0.1)}, "Did you mean 'gate_resistance'?"),
        ({"mosfet.name": gs.Spread(tolerance=0.1)}, "not a number, so it has no spread"),
        ({"gate_resistance": gs.Spread(minimum="9 V", maximum=9)}, "gate_resistance.minimum = '9 V'"),
        (
            {"bus.voltage": gs.Spread(tolerance=0.1), "bus__voltage": gs.Spread(tolerance=0.2)},
            "more than once",
        ),
        ({"loop_inductance": gs.Spread(minimum=0, maximum="9 nH", shape="log_uniform")}, "above zero"),
        ({"frequency": gs.Spread(tolerance=0.1)}, "missing; the cell states none"),
    ],
)
def test_a_spread_that_cannot_be_is_named(
    cell: gs.LowSideCell, spreads: dict[str, gs.Spread], words: str
) -> None:
    with pytest.raises(gs.InputError) as error:
        distributions(cell, spreads)
    assert words in str(error.value)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({}, "minimum: missing. Give minimum and maximum, or a tolerance."),
        ({"minimum": 1}, "maximum: missing."),
        (
            {"minimum": 9, "typical": 3, "maximum": 12},
            "minimum, typical, maximum = 9, 3, 12: must ascend.",
        ),
        ({"minimum": 2, "maximum": 1}, "minimum, maximum = 2, 1: must ascend."),
        ({"minimum": "1 uH", "maximum": "20 nH"}, "1 uH, 20 nH: must ascend"),
        ({"minimum": 0.5, "maximum": "5 %"}, "0.5, 5 %: must ascend"),
        ({"minimum": "50 degC", "maximum": "40 degC"}, "must ascend"),
        ({"typical": 5, "maximum": "4 V", "minimum": 3}, "3, 5, 4 V: must ascend"),
        ({"tolerance": 5}, "Did you mean 5 %?"),
        ({"tolerance": 0.1, "minimum": 1}, "excludes minimum and maximum"),
        ({"tolerance": 0.1, "shape": "cosine"}, "no such shape"),
    ],
)
def test_a_spread_that_fits_no_field_is_refused_at_once(given: dict[str, Any], words: str) -> None:
    with pytest.raises(gs.InputError) as error:
        gs.Spread(**given)
    assert words in str(error.value)


@pytest.mark.parametrize(
    ("count", "method", "words"),
    [(0, "random", "count = 0"), (30, "sobol", "Take 16 or 32."), (8, "halton", "no such method")],
)
def test_samples_that_cannot_be_are_named(cell: gs.LowSideCell, count: int, method: str, words: str) -> None:
    with pytest.raises(gs.InputError, match=words):
        sample(distributions(cell, SPREADS), count, 0, method)
