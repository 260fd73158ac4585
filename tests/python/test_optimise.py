"""Choosing a design by SciPy's optimisers, and the designs that no other beats."""

import matplotlib as mpl
import numpy as np
import pytest
import xarray as xr
from matplotlib import pyplot as plt
from scipy.optimize import brentq, differential_evolution, minimize_scalar  # type: ignore[import-untyped]

import gateswing as gs
from gateswing.choices import optimise
from gateswing.plot import plot_pareto

VARY = {"gate_resistance": ("2 ohm", "60 ohm")}


def driver_loss(cell: gs.LowSideCell, resistance: float) -> float:
    point = gs.operating_point(
        cell.replace(gate_resistance=resistance), frequency=1e5, duty=0.5, relative_tolerance=1e-4
    )
    return point.driver_loss


def make(cell: gs.LowSideCell, **changes: object) -> gs.Objective:
    wanted = {"vary": VARY, "frequency": 1e5, "duty": 0.5, "relative_tolerance": 1e-4} | changes
    return gs.objective(cell, **wanted)  # type: ignore[arg-type]


def test_the_least_loss_lies_where_the_limit_says(quick_cell: gs.LowSideCell) -> None:
    """The channel's loss grows with the gate resistance, the driver's falls: its limit is the optimum."""
    limit = driver_loss(quick_cell, 12.0)
    cost = make(quick_cell, minimise="channel_loss", limits=gs.Limits(maximum_driver_loss=limit))
    found = minimize_scalar(lambda x: cost([x]), bounds=(0.0, 1.0), method="bounded", options={"xatol": 1e-4})
    assert cost.design([found.x]).gate_resistance == pytest.approx(12.0, rel=1e-2)
    across = brentq(lambda r: driver_loss(quick_cell, r) / limit - 1.0, 5.0, 30.0, xtol=1e-3)
    assert across == pytest.approx(12.0, rel=1e-3)


def test_a_vectorised_optimiser_gets_a_cost_for_each_column(quick_cell: gs.LowSideCell) -> None:
    cost = make(quick_cell, vary=VARY | {"loop_inductance": ("1 nH", "5 nH")})
    columns = np.array([[0.0, 0.5, 1.0], [0.0, 1.0, 0.5]])
    costs = cost(columns)
    assert costs.shape == (3,)
    assert [cost(column) for column in columns.T] == costs.tolist()
    values = cost.values(columns)
    assert values["gate_resistance"] == pytest.approx(
        [2.0, np.sqrt(120.0), 60.0]
    )  # thirty to one: by logarithm
    assert values["loop_inductance"] == pytest.approx([1e-9, 5e-9, 3e-9])
    found = differential_evolution(
        cost, cost.bounds, vectorized=True, updating="deferred", maxiter=3, popsize=4, seed=1, polish=False
    )
    assert found.fun < costs.min() * 1.02


def test_a_design_without_an_answer_is_costly_and_finite(
    cell: gs.LowSideCell, quick_cell: gs.LowSideCell
) -> None:
    lossless = quick_cell.replace(load={"inductance": "100 uH"}, freewheel=cell.freewheel)
    with pytest.raises(gs.InputError, match="minimise = 'total_loss': is nan in the middle"):
        make(lossless)
    cost = make(quick_cell)
    assert cost([0.5]) == pytest.approx(1.0)
    object.__setattr__(cost, "cell", lossless)
    assert cost([0.5]) == 1e3


def test_what_cannot_be_minimised_is_named(
    quick_cell: gs.LowSideCell, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(optimise, "run_plan", None)
    with pytest.raises(
        gs.InputError, match=r"minimise = .overshot.: no such figure\. Did you mean .overshoot.\?"
    ):
        make(quick_cell, minimise="overshot")
    with pytest.raises(gs.InputError, match=r"minimise = .total_los.: no such figure\. Did you mean"):
        gs.pareto_front(table(np.ones((2, 2)), np.ones((2, 2))), ("overshoot", "total_los"))
    with pytest.raises(gs.InputError, match=r"gate_resistance\.minimum = '2 V'"):
        make(quick_cell, vary={"gate_resistance": ("2 V", 3)})
    with pytest.raises(gs.InputError, match=r"gate_resistance\.minimum, maximum = 30, 3: must ascend"):
        make(quick_cell, vary={"gate_resistance": (30, 3)})


def table(loss: np.ndarray, overshoot: np.ndarray, status: str = "done") -> xr.Dataset:
    attributes = {"units": "W", "long_name": "total loss"}, {"units": "V", "long_name": "overshoot"}
    return xr.Dataset(
        {
            "total_loss": (("a", "b"), loss, attributes[0]),
            "overshoot": (("a", "b"), overshoot, attributes[1]),
            "status": (("a", "b"), np.full(loss.shape, status)),
        },
        coords={"a": np.arange(loss.shape[0]), "b": np.arange(loss.shape[1])},
    )


def test_the_front_is_what_a_comparison_of_all_pairs_leaves() -> None:
    random = np.random.default_rng(7)
    loss, overshoot = random.integers(0, 12, (2, 10, 12)).astype(float)
    overshoot[0, 0] = np.nan
    front = gs.pareto_front(table(loss, overshoot))
    pairs = [(one, two) for one, two in zip(loss.ravel(), overshoot.ravel(), strict=True) if two == two]
    wanted = {
        pair for pair in pairs if not any(q[0] <= pair[0] and q[1] <= pair[1] and q != pair for q in pairs)
    }
    found = list(zip(front["total_loss"].values.tolist(), front["overshoot"].values.tolist(), strict=True))
    assert set(found) == wanted
    assert len(found) == len(wanted)
    assert found == sorted(found)
    first = front.isel(point=0)
    assert loss[int(first["a"]), int(first["b"])] == first["total_loss"]


def test_a_trade_off_without_ties_is_all_front() -> None:
    x = np.linspace(1.0, 4.0, 20).reshape(4, 5)
    front = gs.pareto_front(table(x, 1.0 / x))
    assert front["total_loss"].values.tolist() == x.ravel().tolist()
    assert gs.pareto_front(table(x, 1.0 / x, "failed")).sizes["point"] == 0
    with mpl.rc_context({"backend": "Agg"}):
        figure = plot_pareto(table(x, 1.0 / x + 1.0), front)
    assert figure.axes[0].get_xlabel() == "total loss (W)"
    assert np.asarray(figure.axes[0].lines[1].get_xdata()).tolist() == x.ravel().tolist()
    plt.close("all")


def test_the_knee_of_a_hyperbola_is_where_both_cost_the_same() -> None:
    # Scaled to their spans the branches of x y = 1 from 1/r to r are mirrored about x = y.
    x = np.geomspace(0.1, 10.0, 21).reshape(3, 7)
    front = gs.pareto_front(table(x, 1.0 / x))
    assert front["total_loss"].values[front["knee"].values] == pytest.approx([1.0])
    with mpl.rc_context({"backend": "Agg"}):
        figure = plot_pareto(table(x, 1.0 / x), front)
    assert [text.get_text() for text in figure.axes[0].texts] == ["knee"]
    plt.close("all")
    assert not gs.pareto_front(table(x, 20.0 - x))["knee"].any()


def test_three_figures_have_a_front_too() -> None:
    corners = table(np.array([[1.0, 2.0, 2.0, 2.0]]), np.array([[2.0, 1.0, 2.0, 2.0]]))
    corners["third"] = corners["total_loss"].copy(data=np.array([[2.0, 2.0, 1.0, 2.0]]))
    assert gs.pareto_front(corners, ("total_loss", "overshoot", "third"))["b"].values.tolist() == [0, 1, 2]
