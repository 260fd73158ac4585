"""Pictures show the results' own numbers, with units, in files that can be made without a screen."""

from dataclasses import replace
from importlib import resources
from pathlib import Path

import matplotlib as mpl
import numpy as np
import pytest
import xarray as xr
from matplotlib import pyplot as plt
from matplotlib.contour import QuadContourSet
from matplotlib.patches import Rectangle
from matplotlib.text import Annotation

import gateswing as gs
from drawn import assert_drawn, texts
from gateswing.figures import format_figure
from gateswing.plot import (
    plot_driver_output,
    plot_edges,
    plot_fit,
    plot_gate_charge,
    plot_gate_network,
    plot_loss_stack,
    plot_losses,
    plot_map,
    plot_overview,
    plot_thermal_impedance,
    plot_thermal_step,
    plot_waveforms,
)
from gateswing.plot.margins import _label as label_margins
from gateswing.reporting.pictures import losses_picture
from gateswing.studies.results import CauseLoss, large_losses

pytestmark = pytest.mark.usefixtures("without_a_screen")


@pytest.fixture
def table() -> xr.Dataset:
    frequency, duty = np.geomspace(1e4, 1e6, 7), np.linspace(0.1, 0.9, 5)
    efficiency = 0.99 - 1e-7 * frequency[:, None] * (1 + duty[None, :])
    efficiency[0, 0] = np.nan
    return xr.Dataset(
        {"efficiency": (("frequency", "duty"), efficiency, {"units": "1", "long_name": "efficiency"})},
        coords={"frequency": frequency, "duty": duty},
    )


def test_the_edges_are_named_measured_and_labelled(edges: gs.DoublePulse, tmp_path: Path) -> None:
    figure = plot_edges(edges)
    assert_drawn(figure, tmp_path)
    shown = texts(figure)
    on, off = edges.turn_on, edges.turn_off
    for symbol, value in (
        ("d(on)", on.delay),
        ("r", on.rise_time),
        ("d(off)", off.delay),
        ("f", off.fall_time),
    ):
        wanted = f"= {format_figure(value, 's', 3)}"
        assert any(symbol in line and line.endswith(wanted) for line in shown.splitlines()), (
            symbol,
            wanted,
            shown,
        )
    for words in (
        "gate voltage (V)",
        "drain voltage (V)",
        "drain current (A)",
        "time (ns)",
        "Turn-on",
        "Turn-off",
    ):
        assert words in shown
    assert f"peak at the die {format_figure(off.peak_drain_voltage, 'V', 3)}" in shown
    assert f"plateau {format_figure(on.plateau_voltage, 'V', 3)}" in shown


def test_an_edge_without_its_intervals_is_still_drawn(edges: gs.DoublePulse, tmp_path: Path) -> None:
    import dataclasses

    nan = float("nan")
    blank = dataclasses.replace(
        edges.turn_on, gate_time=nan, drain_begin=nan, drain_end=nan, plateau_voltage=nan
    )
    figure = plot_edges(dataclasses.replace(edges, turn_on=blank))
    assert_drawn(figure, tmp_path)
    assert "d(on)" not in texts(figure)


def test_the_gate_charge_ends_at_what_the_gate_took(edges: gs.DoublePulse, tmp_path: Path) -> None:
    figure = plot_gate_charge(edges)
    assert_drawn(figure, tmp_path)
    assert "charge taken by the gate (nC)" in texts(figure)
    last = np.asarray(figure.axes[0].lines[0].get_xdata())[-1]
    assert last == pytest.approx(1e9 * edges.turn_on.gate_charge, rel=1e-3)


def test_the_losses_are_labelled_bars(point: gs.OperatingPoint, tmp_path: Path) -> None:
    figure = plot_losses(point)
    assert_drawn(figure, tmp_path)
    shown = texts(figure)
    cause, power = next(iter(point.losses_by_cause.items()))
    assert cause in shown
    assert format_figure(power, "W", 3) in shown
    assert "mean loss (W)" in shown
    drawn = sum(bar.get_width() for bar in figure.findobj(Rectangle) if bar in figure.axes[0].patches)
    assert drawn == pytest.approx(point.total_loss, rel=1e-3)


def test_small_losses_share_a_bar_and_a_large_negative_one_has_its_own(
    point: gs.OperatingPoint, tmp_path: Path
) -> None:
    """Causes made up: 10 W, three below 50 mW, one that gives 1 W back, and nothing."""
    powers = {
        ("conduction", "channel"): 10.0,
        ("gate", "driver"): 0.02,
        ("snubber", "snubber resistor"): 0.03,
        ("wiring", "driver"): -0.01,
        ("output capacitance", "channel"): -1.0,
        ("recovery", "freewheel diode"): 0.0,
    }
    causes = tuple(CauseLoss(*where, power / point.frequency, power) for where, power in powers.items())
    made_up = replace(point, causes=causes)
    listed = large_losses(made_up.losses_by_cause)
    assert listed == pytest.approx({"conduction": 10.0, "output capacitance": -1.0, "3 smaller ones": 0.04})
    figure = plot_losses(made_up)
    assert_drawn(figure, tmp_path)
    bars = [bar for bar in figure.findobj(Rectangle) if bar in figure.axes[0].patches]
    assert [bar.get_width() for bar in bars] == pytest.approx([10.0, -1.0, 0.03, 0.01])
    assert [label.get_text() for label in figure.axes[0].get_yticklabels()] == list(listed)
    assert "snubber resistor, driver" in texts(figure)
    drawn = losses_picture(made_up)
    assert drawn is not None
    assert "3 smaller ones 40 mW" in drawn.svg


def test_the_loss_stack_ends_at_the_total_loss(cell: gs.LowSideCell, tmp_path: Path) -> None:
    losses = gs.sweep(cell, frequency=["50 kHz", "200 kHz"], duty=[0.3, 0.6])
    one = losses.isel(duty=1)
    figure = plot_loss_stack(one)
    assert_drawn(figure, tmp_path)
    shown = texts(figure)
    for words in ("mean loss (W)", "frequency", "conduction"):
        assert words in shown
    layers = figure.axes[0].collections
    heights = [extents.y1 for layer in layers for extents in [layer.get_datalim(figure.axes[0].transData)]]
    assert max(heights) == pytest.approx(float(one.total_loss.max()), rel=1e-3)
    with pytest.raises(gs.InputError, match=r"the losses depend on duty too.*dataset\.isel\(duty=0\)"):
        plot_loss_stack(losses)
    with pytest.raises(gs.InputError, match=r"'load': no such axis.*frequency"):
        plot_loss_stack(one, along="load")
    assert_drawn(plot_loss_stack(losses.isel(duty=[1])), tmp_path)


def test_a_map_has_units_and_leaves_failed_points_blank(table: xr.Dataset, tmp_path: Path) -> None:
    figure = plot_map(table, "efficiency")
    assert_drawn(figure, tmp_path)
    shown = texts(figure)
    for words in ("switching frequency", "duty cycle", "efficiency (%)", "10 kHz", "1 MHz"):
        assert words in shown
    (filled, *_) = [found for found in figure.axes[0].collections if isinstance(found, QuadContourSet)]
    levels = np.asarray(filled.levels)
    lowest = float(table["efficiency"].min()) * 100
    assert lowest - (levels[1] - levels[0]) <= levels[0] <= lowest


def test_a_limit_is_a_line_with_its_wrong_side_hatched(table: xr.Dataset, tmp_path: Path) -> None:
    """The efficiency of this table is 0.99 - 1e-7/Hz f (1 + duty)."""
    figure = plot_map(table, "efficiency", limit=0.95)
    assert_drawn(figure, tmp_path)
    *_, hatched, line = [found for found in figure.axes[0].collections if isinstance(found, QuadContourSet)]
    frequency, duty = np.asarray(line.get_paths()[0].vertices).T
    middle = frequency > 1e5  # between coarse points the line is drawn straight
    assert (0.99 - 1e-7 * frequency * (1.0 + duty))[middle] == pytest.approx(0.95, abs=0.006)
    assert hatched.hatches == ["///"]
    assert np.asarray(hatched.get_paths()[0].vertices)[:, 0].min() > 1e5
    legend = figure.axes[0].get_legend()
    assert legend is not None
    assert [text.get_text() for text in legend.get_texts()] == ["beyond 95 %"]
    assert "beyond 50 %, nowhere" in texts(plot_map(table, "efficiency", limit=0.5))


def test_names_at_the_top_are_kept_apart_downwards() -> None:
    axes = plt.subplots()[1]
    label_margins(axes, [(1.0, "a", "#000000"), (0.99, "b", "#000000"), (0.5, "c", "#000000")])
    heights = {text.get_text(): text.xy[1] for text in axes.texts if isinstance(text, Annotation)}
    assert heights["a"] == 1.0
    assert heights["a"] - heights["b"] > 0.08
    assert heights["c"] == 0.5


def test_an_axis_of_less_than_a_decade_has_units_at_its_ticks(table: xr.Dataset) -> None:
    figure = plot_map(table.assign_coords(frequency=np.linspace(3e4, 9e4, 7)), "efficiency")
    figure.draw_without_rendering()
    axis = figure.axes[0].xaxis
    assert [text.get_text() for text in axis.get_ticklabels(which="both") if text.get_text()]
    assert "\\mathdefault" not in texts(figure)


def test_waveforms_of_one_unit_share_a_panel(edges: gs.DoublePulse, tmp_path: Path) -> None:
    figure = plot_waveforms(edges.waveform, ["v_gs", "i_d", "v_ds"])
    assert_drawn(figure, tmp_path)
    assert [axes.get_ylabel() for axes in figure.axes] == ["voltage (V)", "current (A)"]
    with pytest.raises(ValueError, match="no channel 'x'; there are v_gs"):
        plot_waveforms(edges.waveform, ["x"])


def test_a_long_trace_keeps_its_peaks() -> None:
    """One sample of 300,001 is high, one is low."""
    times = np.arange(300_001) * 1e-9
    values = np.sin(1e5 * times)
    values[123_456], values[234_567] = 7.0, -5.0
    waveform = gs.Waveform.from_samples(times, {"v": values}, {"v": "V"})
    line = np.asarray(plot_waveforms(waveform, ["v"]).axes[0].lines[0].get_xydata())
    assert len(line) < 10_000
    assert line[line[:, 1].argmax()] == pytest.approx([123_456e-9, 7.0])
    assert line[line[:, 1].argmin()] == pytest.approx([234_567e-9, -5.0])
    part = plot_waveforms(waveform, ["v"], begin=2e-4, end=3e-4).axes[0].lines[0].get_xdata()
    assert np.asarray(part)[[0, -1]] == pytest.approx([2e-4, 3e-4])


def test_an_overview_has_edges_and_losses(point: gs.OperatingPoint, tmp_path: Path) -> None:
    figure = plot_overview(point)
    assert_drawn(figure, tmp_path)
    assert len(figure.axes) == 7
    for words in ("Turn-on", "Turn-off", "mean loss (W)", format_figure(point.total_loss, "W", 3)):
        assert words in texts(figure)


def test_a_step_of_power_ends_at_power_times_resistance(tmp_path: Path) -> None:
    """80 degrees Celsius and 50 W over 1 K/W; after one time constant 1 - 1/e of that (textbook)."""
    figure = plot_thermal_step(
        gs.FosterLadder(resistances=[1.0], time_constants=[1e-3]), [50.0], "80 degC", "150 degC"
    )
    assert_drawn(figure, tmp_path)
    time, course = np.asarray(figure.axes[0].lines[0].get_xydata()).T
    assert course[-1] == pytest.approx(130.0, rel=2e-3)
    assert np.interp(1e-3, time, course) == pytest.approx(80.0 + 50.0 * (1.0 - np.exp(-1.0)), rel=1e-3)
    for words in ("limit 150 degC", "50 W", "junction temperature (°C)"):
        assert words in texts(figure)


def test_a_driver_output_ends_at_its_short_circuit_currents(tmp_path: Path) -> None:
    """12 V over 3 ohm and over 6 ohm; at rest the lines start at the rails."""
    driver = gs.GateDriverIC(
        supply_voltage=12, source_resistance=6, sink_resistance=3, rise_time=1e-8, fall_time=1e-8
    )
    figure = plot_driver_output(driver)
    assert_drawn(figure, tmp_path)
    shown = texts(figure)
    for words in (
        "high, gives 2 A",
        "low, takes 4 A",
        "output current (A)",
        "output voltage (V)",
        "gate driver ic",
    ):
        assert words in shown
    high, low = (np.asarray(line.get_xydata()) for line in figure.axes[0].lines[::2])
    assert high[[0, -1]] == pytest.approx(np.array([[0.0, 12.0], [2.0, 0.0]]), rel=1e-3)
    assert low[[0, -1]] == pytest.approx(np.array([[0.0, 0.0], [4.0, 12.0]]), rel=1e-3)


def test_a_gate_network_bypasses_its_resistor_one_way(cell: gs.LowSideCell, tmp_path: Path) -> None:
    """On: 12 V over 10 ohm. Off: that, and (12 V - 0.6 V) over 3.3 ohm and 0.1 ohm of the diode."""
    figure = plot_gate_network(cell)
    assert_drawn(figure, tmp_path)
    assert "current into the gate (A)" in texts(figure)
    current = np.asarray(figure.axes[0].lines[1].get_ydata())
    assert current[-1] == pytest.approx(1.2, rel=1e-6)
    assert current[0] == pytest.approx(-1.2 - 11.4 / 3.4, rel=1e-3)
    without = plot_gate_network(cell.replace(turn_off_gate_resistance=None))
    assert "resistor alone" not in texts(without)
    with pytest.raises(ValueError, match="gate resistance is zero"):
        plot_gate_network(cell.replace(gate_resistance=0.0))


def test_given_axes_are_drawn_into(
    edges: gs.DoublePulse, point: gs.OperatingPoint, table: xr.Dataset
) -> None:
    figure, axes = plt.subplots(1, 3)
    assert plot_gate_charge(edges, axes[0]) is figure
    assert plot_losses(point, axes[1]) is figure
    assert plot_map(table, "efficiency", axes[2]) is figure
    figure, axes = plt.subplots(1, 2)
    assert plot_driver_output(point.cell.driver, axes[0]) is figure
    assert plot_gate_network(point.cell, axes[1]) is figure
    figure, grid = plt.subplots(3, 2)
    assert plot_edges(edges, grid) is figure


def test_drawing_leaves_the_settings_alone(edges: gs.DoublePulse) -> None:
    before = dict(mpl.rcParams)
    edges.plot()
    assert dict(mpl.rcParams) == before


def test_thermal_impedance_shows_the_single_pulse_and_the_duties(tmp_path: Path) -> None:
    ladder = gs.FosterLadder(resistances=[0.2, 1.0], time_constants=["0.1 ms", "8 ms"])
    figure = plot_thermal_impedance(ladder, shortest=1e-5, duties=(0.5, 0.1))
    assert_drawn(figure, tmp_path)
    shown = texts(figure)
    for words in ("single pulse", "duty 50 %", "duty 10 %", "1.2 K/W in the end", "peak rise per watt (K/W)"):
        assert words in shown
    half, tenth, single = (np.asarray(line.get_ydata()) for line in figure.axes[0].lines[:3])
    assert (half > tenth).all()
    assert (tenth > single * (1 - 1e-12)).all()  # equal at the right, where one pulse settles
    assert half[0] == pytest.approx(0.5 * 1.2, rel=0.02)
    assert single[-1] == pytest.approx(1.2, rel=0.01)


@pytest.fixture(scope="module")
def fit() -> gs.MosfetFit:
    return gs.fit_mosfet(gs.read_sheet(str(resources.files("gateswing") / "examples" / "mosfet_sheet.toml")))


def test_a_fit_shows_the_model_and_the_sheet(fit: gs.MosfetFit, tmp_path: Path) -> None:
    figure = fit.plot()
    assert_drawn(figure, tmp_path)
    shown = texts(figure)
    for words in ("capacitance (pF)", "gate charge (nC)", "data sheet", "Gate charge at 50 V, 20 A"):
        assert words in shown
    capacitances, charge = figure.axes
    marks = [line for line in capacitances.lines if line.get_linestyle() == "None"]
    assert [np.asarray(mark.get_ydata()).tolist() for mark in marks] == [
        [2400.0],
        [1050.0, 420.0],
        [160.0, 40.0],
    ]
    assert np.asarray(charge.lines[0].get_xdata())[-1] == pytest.approx(34.0, rel=0.01)


def test_a_fit_without_gate_charge_is_still_drawn(fit: gs.MosfetFit, tmp_path: Path) -> None:
    import dataclasses

    figure, axes = plt.subplots(1, 2)
    blank = dataclasses.replace(fit, sheet=fit.sheet.replace(gate_charge=None))
    assert plot_fit(blank, list(axes)) is figure
    assert_drawn(figure, tmp_path)
    assert "no gate charge in the sheet" in texts(figure)
