"""Captures: every layout an instrument writes gives the same samples.

The layouts are those that instruments and loggers are known to write; all files here are made by the tests.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import pytest

import gateswing as gs

COUNT = 400
STEP = 0.4e-9
START = -20e-9
TIMES = START + STEP * np.arange(COUNT)
FIRST = np.round(12.0 * np.clip((TIMES - 10e-9) / 20e-9, 0.0, 1.0) + 0.1 * np.sin(TIMES * 1e9), 3)
SECOND = np.round(48.0 - 4.0 * FIRST, 3)

Write = Callable[..., Path]


def rows(*columns: Any, sep: str = ",", end: str = "\n", form: str = "{:.7g}", trailing: str = "") -> str:
    """Lines of numbers."""
    return "".join(
        sep.join(form.format(value) for value in row) + trailing + end for row in zip(*columns, strict=True)
    )


def comma(text: str) -> str:
    return text.replace(".", ",")


INDEX = range(COUNT)


class Case(NamedTuple):
    """A file, what must be given with it, and the channels that come out."""

    content: str | bytes
    options: dict[str, Any]
    first: str
    second: str | None
    units: str


def beside() -> str:
    """Settings in the first columns, the data beside them."""
    keys = [("Record Length", f"{COUNT}"), ("Sample Interval", f"{STEP:g}"), ("Source", "CH1"),
            ("Vertical Units", "V"), ("Vertical Scale", "2"), ("Probe Atten", "10")]  # fmt: skip
    keys += [("", "")] * (COUNT - len(keys))
    return "".join(
        f"{key},{value},,{time:.7g},{volts:g},\n"
        for (key, value), time, volts in zip(keys, TIMES, FIRST, strict=True)
    )


CASES = {
    "two columns with CRLF": Case(rows(TIMES, FIRST, end="\r\n"), {}, "channel 1", None, ""),
    "values one per line": Case(
        rows(FIRST), {"sample_interval": "0.4 ns", "start": START}, "channel 1", None, ""
    ),
    "values on one line": Case(
        ",".join(f"{value:g}" for value in FIRST) + "\n",
        {"sample_interval": STEP, "start": START},
        "channel 1",
        None,
        "",
    ),
    "a sample rate": Case(
        "Sample Rate,2.5 GSa/s\n" + rows(FIRST), {"start": "-20 ns"}, "channel 1", None, ""
    ),
    "a comma after each row": Case(
        rows(TIMES, FIRST, SECOND, trailing=","), {}, "channel 1", "channel 2", ""
    ),
    "settings beside the data": Case(beside(), {}, "channel 1", None, "V"),
    "a long preamble": Case(
        'Model,instrument\nFirmware,1.0\nSample Interval,0.4 ns\nNote,"a, quoted"\n\nLabels,,\nTIME,CH1,CH2\n'
        + rows(TIMES, FIRST, SECOND),
        {},
        "CH1",
        "CH2",
        "",
    ),
    "index rows with start and increment": Case(
        f"X,CH1,CH2,Start,Increment\nSequence,Volt,Volt,{START:g},{STEP:g}\n" + rows(INDEX, FIRST, SECOND),
        {},
        "CH1",
        "CH2",
        "V",
    ),
    "one heading with units": Case("Time(s),CH1(V)\n" + rows(TIMES, FIRST), {}, "CH1", None, "V"),
    "names and units, plus signs": Case(
        "x-axis,1,2\nsecond,Volt,Volt\n" + rows(TIMES, FIRST, SECOND, form="{:+.7E}"), {}, "1", "2", "V"
    ),
    "keys with tabs": Case(
        f"XInc\t0.4 ns\nXOrg\t{START:g}\nPoints\t{COUNT}\n" + rows(FIRST, SECOND, sep="\t"),
        {},
        "channel 1",
        "channel 2",
        "",
    ),
    "comments and a blank line": Case(
        "# made by a test\n# 1\n\nTime (ns),Channel 1 (V),Channel 2 (mV)\n"
        + rows(1e9 * TIMES, FIRST, 1e3 * SECOND),
        {},
        "Channel 1",
        "Channel 2",
        "V",
    ),
    "semicolons before comments": Case(
        "; a\n; Time [s]\t[V]\n" + rows(TIMES, FIRST, sep="\t"), {}, "channel 1", None, "V"
    ),
    "decimal commas": Case(
        "Zeit (s);U1 (V);U2 (V)\r\n" + comma(rows(TIMES, FIRST, SECOND, sep=";", end="\r\n")),
        {},
        "U1",
        "U2",
        "V",
    ),
    "decimal commas and tabs in UTF-16": Case(
        ("Time (ms)\tµ (V)\n" + comma(rows(1e3 * TIMES, FIRST, sep="\t"))).encode("utf-16"),
        {},
        "µ",
        None,
        "V",
    ),
    "a byte order mark": Case(
        b"\xef\xbb\xbf" + ("Time (s),a (V)\n" + rows(TIMES, FIRST)).encode(), {}, "a", None, "V"
    ),
    "Latin-1": Case(("Time (µs),U² (V)\n" + rows(1e6 * TIMES, FIRST)).encode("latin-1"), {}, "U²", None, "V"),
    "CR alone": Case("t,a\r" + rows(TIMES, FIRST, end="\r"), {}, "a", None, ""),
    "blanks": Case("t a b\n" + rows(TIMES, FIRST, SECOND, sep="   "), {}, "a", "b", ""),
    "quoted cells": Case(
        '"Time (s)","CH1, gate (V)"\n'
        + rows(TIMES, FIRST, sep='","').replace("\n", '"\n"')[:-1].join(['"', ""]),
        {},
        "CH1, gate",
        None,
        "V",
    ),
    "backwards": Case("Time (s),a (V)\n" + rows(TIMES[::-1], FIRST[::-1]), {}, "a", None, "V"),
    "unsorted": Case(
        "Time (s),a (V)\n" + rows(*(np.roll(x, 7)[np.r_[0:9, 12:COUNT, 9:12]] for x in (TIMES, FIRST))),
        {},
        "a",
        None,
        "V",
    ),
    "time rounded in print": Case(
        "Time (s),a (V)\n" + rows(1e-3 + TIMES, FIRST, form="{:.9f}"), {}, "a", None, "V"
    ),
    "a footer": Case("t,a\n" + rows(TIMES, FIRST) + "\n# end\n", {}, "a", None, ""),
    "comments in the middle": Case(
        "t,a\n" + rows(TIMES[:200], FIRST[:200]) + "\n# still here\n" + rows(TIMES[200:], FIRST[200:]),
        {},
        "a",
        None,
        "",
    ),
    "a last line cut within its time": Case("t,a\n" + rows(TIMES, FIRST) + "1.5", {}, "a", None, ""),
    "a last line cut short": Case("t,a\n" + rows(TIMES, FIRST) + "1.5e-", {}, "a", None, ""),
    "scaled exponents": Case(
        "t,a\n" + rows(TIMES, FIRST, form="{:.7E}").replace("E-", "e-0"), {}, "a", None, ""
    ),
}


@pytest.mark.parametrize("case", CASES.values(), ids=CASES.keys())
def test_every_layout_gives_the_samples(case: Case, write: Write) -> None:
    capture = gs.read_capture(write(case.content), **case.options)
    shift = np.round(capture.times[0], 4)  # of the file whose times lose digits
    np.testing.assert_allclose(capture.times - shift, TIMES, atol=(0.2 if shift else 2e-3) * STEP)
    np.testing.assert_allclose(capture.values[case.first], FIRST, rtol=1e-6, atol=1e-9)
    assert list(capture.values) == [name for name in (case.first, case.second) if name]
    if case.second:
        np.testing.assert_allclose(capture.values[case.second], SECOND, rtol=1e-6, atol=1e-9)
    assert set(capture.units.values()) == {case.units}
    assert capture.segments == 1
    waveform = capture.waveform()
    assert waveform.value(case.first, capture.times[100]) == pytest.approx(FIRST[100])


def reported(capture: gs.Capture, what: str) -> str:
    return capture.report.value(what)


def test_the_report_says_what_was_understood_and_how_to_say_otherwise(write: Write) -> None:
    text = "Sample Interval;4e-10\nTime (s);U1 (V);U2 (V)\n" + comma(rows(TIMES, FIRST, SECOND, sep=";"))
    capture = gs.read_capture(write(text + "the end\n"))
    assert (reported(capture, "separator"), reported(capture, "decimal sign")) == (";", ",")
    assert reported(capture, "numbers from") == "line 3"
    assert capture.settings["Sample Interval"] == "4e-10"
    assert capture.report.notes == ("1 lines among or after the numbers left out: 403.",)
    shown = repr(capture)
    for words in ("delimiter=", "time_column=", "its unit", "400 samples", "U1 [V], U2 [V]", "403"):
        assert words in shown
    assert "<table>" in capture._repr_html_()


@pytest.mark.parametrize(
    ("setting", "interval"),
    [
        ("Sample Rate,1 GS/s", 1e-9),
        ("Sample Rate,500 MSps", 2e-9),
        ("Sampling Frequency,2.5 GSa/s", 0.4e-9),
        ("fs,250 kSPS", 4e-6),
        ("Sample Rate,2.5e9", 0.4e-9),
        ("Sample Rate,100 MHz", 10e-9),
        ("Sample Interval,4 ns", 4e-9),
        ("Resolution,8 bit\nIncrement,2e-9", 2e-9),
    ],
)
def test_the_steps_are_those_of_the_stated_unit(write: Write, setting: str, interval: float) -> None:
    capture = gs.read_capture(write(f"{setting}\n{rows(FIRST)}"))
    assert capture.times[1] - capture.times[0] == pytest.approx(interval)


def test_every_guess_can_be_overridden(write: Write) -> None:
    path = write("1;2;3\n" + rows(INDEX, FIRST, SECOND, sep=";"))
    capture = gs.read_capture(
        path,
        names=["n", "a", "b"],
        units=["ms", "mV", "A"],
        first_line=4,
        time_column="n",
        delimiter=";",
        decimal=".",
    )
    np.testing.assert_allclose(capture.times, 1e-3 * np.arange(2, COUNT))
    np.testing.assert_allclose(capture.values["a"], 1e-3 * FIRST[2:])
    assert capture.units == {"a": "V", "b": "A"}
    other = gs.read_capture(path, time_column="none", sample_interval="2 ns", start="-1 us", first_line=2)
    assert list(other.values) == ["channel 1", "channel 2", "channel 3"]
    assert other.times[:2].tolist() == pytest.approx([-1e-6, -0.998e-6])
    assert gs.read_capture(path, time_unit="us", first_line=2).times[-1] == pytest.approx(399e-6)
    assert gs.read_capture(write(b"t,\xb5\n1.0,2\n2.5,3\n"), encoding="cp1251").values.keys() == {"\u00b5"}


@pytest.mark.parametrize(
    "setting",
    ["Sample Rate,2.5 GS/s", "Sample Rate,2500 MSps", "Sample Rate,2.5 GSa/s", "Sample rate (GHz),2.5",
     "Sampling frequency,2500000 kSamples/s", "Sample Rate,2.5e9", "Sample Interval,400 ps",
     "Sample Interval,0.4,ns", "Sample Interval [ns],0.4", "Sample Interval,4e-10,V"],
)  # fmt: skip
def test_a_sample_rate_is_read_in_every_unit_that_instruments_write(setting: str, write: Write) -> None:
    capture = gs.read_capture(write(f"Model,instrument\n{setting}\nCH1 (V),CH2 (V)\n" + rows(FIRST, SECOND)))
    assert np.diff(capture.times) == pytest.approx(STEP)


@pytest.mark.parametrize(
    "setting",
    ["Sample Rate,1 GX/s", "Sample Rate,1 ns", "Sample Rate,500 mS/s", "Sample Interval,1 NS",
     "Sample Interval,1 mV", "Sample Interval,2.5 GHz"],
)  # fmt: skip
def test_an_unknown_unit_of_the_sample_interval_is_not_taken_for_seconds(setting: str, write: Write) -> None:
    path = write(f"Model,instrument\n{setting}\nCH1 (V),CH2 (V)\n" + rows(FIRST, SECOND))
    with pytest.raises(gs.InputError, match="states no sample interval, or none in a unit that is known"):
        gs.read_capture(path)
    assert gs.read_capture(path, sample_interval="1 ns").times[-1] == pytest.approx(399e-9)


def test_an_unknown_unit_of_the_time_is_not_taken_for_seconds(write: Write) -> None:
    path = write("Horizontal Units,NS\n\nTIME,CH1\n" + rows(TIMES, FIRST))
    with pytest.raises(gs.InputError, match="states the unit 'NS' for its time"):
        gs.read_capture(path)
    assert gs.read_capture(path, time_unit="ns").times[0] == pytest.approx(START * 1e-9)


def test_pairs_of_least_and_greatest_keep_both(write: Write) -> None:
    low, high = FIRST - 1.0, FIRST + 1.0
    capture = gs.read_capture(
        write("Time (s),a (V)\n" + rows(np.repeat(TIMES, 2), np.stack([low, high], axis=1).ravel()))
    )
    np.testing.assert_allclose(np.diff(capture.times), STEP / 2, rtol=1e-3)
    np.testing.assert_allclose(capture.values["a"][::2], low)
    np.testing.assert_allclose(capture.values["a"][1::2], high)
    assert any("stands twice" in note for note in capture.report.notes)


def test_segments_and_gaps_are_kept_apart(write: Write) -> None:
    text = "Segments,2,SegmentSize,200\nSegment,TrigTime\n#1,10:00\n#2,10:01\nTime,Ampl\n"
    capture = gs.read_capture(write(text + rows(TIMES[:200], FIRST[:200]) + rows(TIMES[:200], FIRST[200:])))
    assert capture.segments == 2
    np.testing.assert_allclose(capture.waveform(1).value("Ampl", TIMES[:199]), FIRST[200:399])
    with pytest.raises(gs.InputError, match="there are 2 segments"):
        capture.waveform()
    later = np.where(np.arange(COUNT) < 300, TIMES, TIMES + 5 * STEP)
    split = gs.read_capture(write("t,b\n" + rows(later, FIRST)))
    assert split.starts == (0, 300)
    assert any("gap" in note for note in split.report.notes)


def test_what_the_instrument_could_not_convert_is_counted_and_never_silent(write: Write) -> None:
    cells = [f"{value:g}" for value in FIRST]
    cells[50], cells[51], cells[60], cells[70] = "****", "-inf", "9.91E+37", ""
    text = "Time (s),a (V)\n" + "".join(f"{t:.7g},{v}\n" for t, v in zip(TIMES, cells, strict=True))
    capture = gs.read_capture(write(text))
    assert np.flatnonzero(np.isnan(capture.values["a"])).tolist() == [50, 51, 60, 70]
    assert any(note.startswith("a: 4 samples could not be converted") for note in capture.report.notes)
    with pytest.raises(gs.InputError, match=r"a: 4 samples, the first at 0 s, could not be converted"):
        capture.waveform()
    bridged = capture.waveform(bridge_overload=True)
    assert bridged.value("a", TIMES[60]) == pytest.approx((FIRST[59] + FIRST[61]) / 2)


def test_clipping_is_seen_and_a_settled_level_is_none(write: Write) -> None:
    ring = np.round(40.0 + 30.0 * np.exp(-TIMES / 50e-9) * np.cos(TIMES * 3e8), 1)
    settled = np.round(12.0 - 12.0 * np.exp(-np.maximum(TIMES, 0) / 9e-9), 1)
    capture = gs.read_capture(write("Time (s),a (V),b (V)\n" + rows(TIMES, np.minimum(ring, 50.0), settled)))
    assert [note for note in capture.report.notes if "clipped" in note] == [
        "a: looks clipped; its peak is higher than the record says."
    ]


def test_one_file_for_each_channel(write: Write) -> None:
    paths = [
        write("Time (s),Volt (V)\n" + rows(TIMES, values), f"{name}.csv")
        for name, values in (("gate", FIRST), ("drain", SECOND))
    ]
    capture = gs.read_capture(paths, channels={"v_gs_pin": "gate", "v_ds_pin": "drain"})
    np.testing.assert_allclose(capture.values["v_ds_pin"], SECOND)
    short = write("Time (s),Volt (V)\n" + rows(TIMES[:-1], FIRST[:-1]), "short.csv")
    with pytest.raises(gs.InputError, match=r"short\.csv: has 399 samples, but gate\.csv has 400"):
        gs.read_capture([paths[0], short])


def test_steps_that_are_given_to_a_file_with_times_are_not_used_without_a_word(write: Write) -> None:
    path = write("Time (s),CH1 (V)\n" + rows(TIMES, FIRST))
    report = gs.read_capture(path, sample_interval="1 ns").report
    assert "note: sample_interval= is not used: the file has times." in repr(report)
    without = gs.read_capture(path, sample_interval="1 ns", time_column="none", start=0.0)
    assert "is not used" not in repr(without.report)


def test_units_of_all_channels_in_one_line_above_the_names(write: Write) -> None:
    head = "Model,ABC\nVertical Units,V,mV\n\nTIME,CH1,CH2\n"
    capture = gs.read_capture(write(head + rows(TIMES, FIRST, SECOND)))
    assert capture.units == {"CH1": "V", "CH2": "V"}
    np.testing.assert_allclose(capture.values["CH2"], 1e-3 * SECOND, rtol=1e-4, atol=1e-6)
