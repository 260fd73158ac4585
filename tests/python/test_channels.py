"""Channels of a capture: names, scales, units, delays, and what is refused with the nearest name."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

import gateswing as gs

TIMES = -20e-9 + 0.4e-9 * np.arange(400)
FIRST = np.round(12.0 * np.clip((TIMES - 10e-9) / 20e-9, 0.0, 1.0) + 0.1 * np.sin(TIMES * 1e9), 3)
SECOND = np.round(48.0 - 4.0 * FIRST, 3)

Write = Callable[[str], Path]


def rows(*columns: np.ndarray) -> str:
    """Lines of numbers."""
    return "".join(",".join(f"{value:.7g}" for value in row) + "\n" for row in zip(*columns, strict=True))


def test_channels_get_name_scale_sign_delay_and_offset(write: Write) -> None:
    path = write("Time (s),CH1 (V),CH2 (V)\n" + rows(TIMES, FIRST, SECOND))
    with pytest.raises(gs.InputError, match="a current, but column 'CH2' is in V"):
        gs.read_capture(path, channels={"i_d": "CH2"})
    with pytest.raises(gs.InputError, match=r"channels\.v_gs = 'CH3': no such column.*\. Allowed: CH1, CH2"):
        gs.read_capture(path, channels={"v_gs": "CH3"})
    current = gs.Trace(column="CH2", unit="A", scale=2.0, invert=True, offset=3.0, delay="0.8 ns")
    capture = gs.read_capture(path, channels={"v_gs": "CH1", "i_d": current})
    np.testing.assert_allclose(capture.times, TIMES[:-2], atol=1e-15)
    np.testing.assert_allclose(capture.values["v_gs"], FIRST[:-2])
    np.testing.assert_allclose(capture.values["i_d"], -2.0 * SECOND[2:] - 3.0, rtol=1e-4, atol=1e-3)
    assert capture.units == {"v_gs": "V", "i_d": "A"}
    zeroed = capture.zeroed("v_gs", -20e-9, "0 ns").between("0 ns", "40 ns")
    inside = (capture.times >= 0) & (capture.times <= 40e-9)
    assert np.array_equal(zeroed.times, capture.times[inside])
    before = FIRST[:-2][(capture.times >= -20e-9) & (capture.times <= 0)].mean()
    np.testing.assert_allclose(zeroed.values["v_gs"], FIRST[:-2][inside] - before, atol=1e-12)


@pytest.mark.parametrize(
    ("channels", "words"),
    [
        ({"v_ds_pn": "CH1"}, r"channels\.v_ds_pn: no channel\. Did you mean 'v_ds_pin'\?"),
        ({"V_GS_pin": "CH1"}, r"channels\.V_GS_pin: no channel\. Did you mean 'v_gs_pin'\?"),
        ({"V_DS_pin": "CH1"}, r"channels\.V_DS_pin: no channel\. Did you mean 'v_ds_pin'\?"),
        ({"vds_pin": "CH1"}, r"channels\.vds_pin: no channel\. Did you mean 'v_ds_pin'\?"),
        ({"v_ds pin": "CH1"}, r"Did you mean 'v_ds_pin'\?"),
        ({"v_ds_pni": "CH1"}, r"Did you mean 'v_ds_pin'\?"),
        ({"v_gs_piin": "CH1"}, r"Did you mean 'v_gs_pin'\?"),
        ({"vds": "CH1"}, r"Did you mean 'v_ds'\?"),
        ({"v_ds_pin": "ch2"}, r"no such column in the file\. Allowed: CH1, CH2\. Did you mean 'CH2'\?"),
        ({"v_ds_pin": "CH2 (V)"}, r"Did you mean 'CH2'\?"),
        ({"v_ds_pin": 2}, r"v_ds_pin = 2: neither the name of a column nor a Trace"),
    ],
)
def test_a_misspelt_channel_or_column_is_refused_with_the_nearest(
    channels: dict[str, str], words: str, write: Write
) -> None:
    path = write("Time (s),CH1 (V),CH2 (V)\n" + rows(TIMES, FIRST, SECOND))
    with pytest.raises(gs.InputError, match=words):
        gs.read_capture(path, channels=channels)


def test_channels_of_other_names_are_the_caller_s_own(write: Write) -> None:
    path = write("Time (s),CH1 (V),CH2 (V)\n" + rows(TIMES, FIRST, SECOND))
    subscripts = ("v_gd_pin", "v_dd_pin", "v_ss_pin", "v_sd_pin", "v_d_pin", "i_gs_pin", "v_ds_min")
    for name in ("v_ds_pin2", "v_ds_high", "v_s", "v_bus", "i_gate_low", "temperature", *subscripts):
        trace = gs.Trace(column="CH1", unit="A") if name.startswith("i_") else "CH1"
        assert list(gs.read_capture(path, channels={name: trace}).values) == [name]


def test_the_report_says_what_each_channel_is_taken_for(write: Write) -> None:
    path = write("Time (s),CH1 (V),CH2 (V)\n" + rows(TIMES, FIRST, SECOND))
    current = gs.Trace(column="CH2", unit="A", scale=10.0, invert=True, delay="0.8 ns")
    report = gs.read_capture(path, channels={"v_gs_pin": "CH1", "i_d": current, "i_load": current}).report
    i_d = "i_d = CH2 x -10 A, 800 ps earlier"
    assert report.value("taken as").startswith(f"v_gs_pin = CH1; {i_d}; i_load = ")
    assert "note: CH2 is taken for 2 channels." in repr(report)


def test_the_unit_of_a_trace_is_understood_and_not_only_kept(write: Write) -> None:
    bare = gs.read_capture(write("Time (s),CH1,CH2,CH3 (V)\n" + rows(TIMES, FIRST, SECOND, SECOND)))
    traces = {
        "v_ds_pin": gs.Trace(column="CH1", unit="mV", offset=1.0),
        "i_d": gs.Trace(column="CH2", unit="mA", scale=10.0),
        "i_load": gs.Trace(column="CH3", unit="mA", scale=10.0),
        "share": gs.Trace(column="CH2", unit="div"),
    }
    mapped = bare.mapped(traces)
    assert mapped.units == {"v_ds_pin": "V", "i_d": "A", "i_load": "A", "share": "div"}
    np.testing.assert_allclose(mapped.values["v_ds_pin"], 1e-3 * FIRST - 1.0)
    np.testing.assert_allclose(mapped.values["i_d"], 10e-3 * SECOND)
    np.testing.assert_allclose(mapped.values["i_load"], 10e-3 * SECOND)
    np.testing.assert_allclose(mapped.values["share"], SECOND)


@pytest.mark.parametrize(
    ("name", "trace", "words"),
    [
        ("v_ds_pin", gs.Trace(column="CH2"), "a voltage, but column 'CH2' is in A"),
        ("v_ds_pin", gs.Trace(column="CH3"), "a voltage, but column 'CH3' is in div"),
        ("v_ds_pin", gs.Trace(column="CH1", unit="A"), "a voltage, but its unit is to be 'A'"),
        ("i_d", gs.Trace(column="CH1", unit="NA"), "a current, but its unit is to be 'NA'"),
        ("v_ds_pin", gs.Trace(column="CH1", unit="mV"), "column 'CH1' is in V already"),
    ],
)
def test_a_channel_in_another_unit_than_its_name_says_is_refused(
    name: str, trace: gs.Trace, words: str, write: Write
) -> None:
    path = write("Time (s),CH1 (mV),CH2 (mA),CH3\n" + rows(TIMES, FIRST, SECOND, SECOND))
    capture = gs.read_capture(path, units=["s", "mV", "mA", "div"])
    with pytest.raises(gs.InputError, match=words):
        capture.mapped({name: trace})
