"""A capture over a simulation: the shift is found and reported, and the residual is what was added."""

from pathlib import Path

import numpy as np
import pytest
from matplotlib import pyplot as plt
from matplotlib.text import Text

import gateswing as gs
from gateswing.figures import format_figure
from gateswing.waveforms.alignment import Alignment, find_event, shifted

CHANNELS = ("v_gs_pin", "v_ds_pin", "i_d")
LATE = 37.2e-9


pytestmark = pytest.mark.usefixtures("without_a_screen")


@pytest.fixture
def measured(edges: gs.DoublePulse) -> gs.Waveform:
    """The simulation sampled at 5 GHz, late, with 0.4 V on the drain."""
    model = edges.waveform
    times = np.arange(model.begin + 5e-9, model.end - 5e-9, 0.2e-9)
    values = {name: model.value(name, times) + (0.4 if name == "v_ds_pin" else 0.0) for name in CHANNELS}
    return gs.Waveform.from_samples(times + LATE, values, model.units)


@pytest.mark.parametrize("align", ["gate", "drain"])
def test_the_shift_is_found_and_reported(
    align: Alignment, edges: gs.DoublePulse, measured: gs.Waveform
) -> None:
    found = gs.overlay(edges.waveform, measured, align=align)
    assert found.shift == pytest.approx(LATE, abs=0.02e-9)
    assert gs.overlay(edges.waveform, measured, align=align, edge=1).shift == pytest.approx(LATE, abs=0.1e-9)
    by_name = {residual.channel: residual for residual in found.residuals}
    assert found.channels == CHANNELS
    assert by_name["v_gs_pin"].rms < 0.02
    assert by_name["v_ds_pin"].rms == pytest.approx(0.4, rel=0.05)
    times = np.linspace(found.begin, found.end, 777)
    residual = found.residual("v_ds_pin").value("v_ds_pin", times)
    assert np.median(residual) == pytest.approx(0.4, abs=0.01)
    words = {"gate": "v_gs_pin has gone a quarter of its first step", "drain": "v_ds_pin passes the middle"}
    assert repr(found).startswith(f"Overlay. {words[align]}")
    assert " 37.2 ns later in the capture than in the model, " in found.sentence()
    assert "the capture is shown 37.2 ns earlier" in found.sentence()
    early = gs.overlay(measured, edges.waveform, align=align)
    assert " 37.2 ns earlier in the capture than in the model, " in early.sentence()
    assert "measured less model" in found._repr_html_()


def test_a_gate_that_its_source_pulls_back_is_aligned_by_its_first_rise() -> None:
    """Past the middle at once, or only after a dip to a tenth of the step: the rise before is the same."""
    times = np.arange(0.0, 400e-9, 0.5e-9)
    for first in (6.9, 5.5):
        gate = np.interp(
            times, np.array([30.0, 70.0, 90.0, 100.0, 115.0, 130.0, 200.0]) * 1e-9,
            [0.0, 4.0, first, first, 1.4, 7.0, 12.0],
        )  # fmt: skip
        waveform = gs.Waveform.from_samples(times, {"v_gs_pin": gate}, {"v_gs_pin": "V"})
        assert find_event(waveform, "gate").time == pytest.approx(60e-9, abs=1e-9)


def test_a_later_turn_on_is_not_taken_for_the_bounce_of_the_turn_off_before() -> None:
    times = np.arange(0.0, 3e-6, 1e-9)
    gate = np.interp(
        times, np.array([0.1, 0.12, 1.0, 1.02, 1.025, 1.04, 1.06, 2.0, 2.02]) * 1e-6,
        [0.0, 12.0, 12.0, 0.0, 0.0, 4.1, 0.0, 0.0, 12.0],
    )  # fmt: skip
    waveform = gs.Waveform.from_samples(times, {"v_gs_pin": gate}, {"v_gs_pin": "V"})
    assert find_event(waveform, "gate", 2).time == pytest.approx(2.005e-6, abs=1e-9)


def test_a_window_has_units_and_lies_inside() -> None:
    times = np.linspace(0.0, 1e-6, 101)
    one = gs.Waveform.from_samples(times, {"a": times}, {"a": "V"})
    found = gs.overlay(one, one, align="none", window=("0.2 us", "800 ns"))
    assert (found.begin, found.end) == pytest.approx((0.2e-6, 0.8e-6))
    for window in (("0.2 us", "1.2 us"), ("0.2 V", "0.3 us"), (0.5, 0.1)):
        with pytest.raises(gs.InputError, match="window"):
            gs.overlay(one, one, align="none", window=window)


def test_without_alignment_time_stays_as_it_is(edges: gs.DoublePulse, measured: gs.Waveform) -> None:
    found = gs.overlay(edges.waveform, measured, align="none", channels=["i_d"], window=(100e-9, 500e-9))
    assert found.shift == 0.0
    assert found.channels == ("i_d",)
    assert (found.begin, found.end) == (100e-9, 500e-9)


def test_the_largest_residual_is_where_it_is(edges: gs.DoublePulse) -> None:
    times = np.linspace(edges.waveform.begin, edges.waveform.end, 20001)
    values = edges.waveform.value("v_ds_pin", times)
    values[12000] += 9.0
    spiked = gs.Waveform.from_samples(times, {"v_ds_pin": values}, {"v_ds_pin": "V"})
    (residual,) = gs.overlay(edges.waveform, spiked, align="none").residuals
    assert residual.largest == pytest.approx(9.0, abs=0.05)
    assert residual.time == pytest.approx(times[12000])


def test_what_cannot_be_laid_over_is_an_input_error(edges: gs.DoublePulse, measured: gs.Waveform) -> None:
    with pytest.raises(gs.InputError, match="not in both waveforms"):
        gs.overlay(edges.waveform, measured, channels=["v_bus"])
    with pytest.raises(gs.InputError, match="not shown by both"):
        gs.overlay(edges.waveform, shifted(measured, 1.0), align="none")
    with pytest.raises(gs.InputError, match="shows 2 such edges"):
        gs.overlay(edges.waveform, measured, edge=2)
    with pytest.raises(gs.InputError, match=r"edge = -1: out of range\. Allowed: 0 and more\."):
        gs.overlay(edges.waveform, measured, edge=-1)
    for wrong in (1.5, "1", True, None):
        with pytest.raises(gs.InputError, match=rf"edge = {wrong!r}: not a whole number\."):
            gs.overlay(edges.waveform, measured, edge=wrong)  # type: ignore[arg-type]
    with pytest.raises(gs.InputError, match="no such event"):
        gs.overlay(edges.waveform, measured, align="bus")  # type: ignore[arg-type]
    only = gs.Waveform.from_samples([0.0, 1.0], {"i_d": [0, 1]}, {"i_d": "A"})
    with pytest.raises(gs.InputError, match="gate = 'v_gs_pin': no such channel"):
        gs.overlay(edges.waveform, only)


def test_the_plot_shows_both_and_the_residual(
    edges: gs.DoublePulse, measured: gs.Waveform, tmp_path: Path
) -> None:
    found = gs.overlay(edges.waveform, measured, window=(-10e-9, 1.5e-6))
    figure = found.plot()
    figure.savefig(tmp_path / "overlay.png")
    shown = "\n".join(one.get_text() for one in figure.findobj(Text) if isinstance(one, Text))
    for words in (
        "capture",
        "model",
        "v_ds_pin (V)",
        "residual (A)",
        f"{format_figure(found.shift, 's', 3)} later",
        "measured less model: rms",
        "rms 40",
    ):
        assert words in shown
    assert plt.imread(tmp_path / "overlay.png")[..., :3].std() > 0.05
