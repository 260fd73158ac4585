"""The means to guard waveforms catch what they should, and nothing else."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import matplotlib as mpl
import numpy as np
import pytest
from click.testing import CliRunner, Result
from matplotlib import pyplot as plt

import gateswing as gs
from drawn_captures import drawn
from gateswing import _core, testing
from gateswing.cli import main
from gateswing.testing.record import record_of
from gateswing.waveforms.alignment import shifted
from gateswing.waveforms.decimation import decimated

pytest_plugins = ["pytester"]

TIMES: dict[str, Any] = {"on_time": "0.6 us", "off_time": "0.6 us"}
PINS = ["v_gs_pin", "v_ds_pin", "i_d"]


@pytest.fixture(scope="module")
def pulse(cell: gs.LowSideCell) -> gs.DoublePulse:
    return gs.double_pulse(cell, **TIMES)


@pytest.fixture(scope="module")
def reference(pulse: gs.DoublePulse, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("references") / "pulse.csv"
    testing.write_reference(pulse, path, reason="a test", channels=PINS, settings={"bench": "invented"})
    return path


def bent(
    waveform: gs.Waveform, change: Callable[[np.ndarray, np.ndarray], np.ndarray], channel: str
) -> gs.Waveform:
    """A channel changed at even times, 0.05 ns apart."""
    times = np.arange(waveform.begin, waveform.end, 0.05e-9)
    values = {name: waveform.value(name, times) for name in PINS}
    values[channel] = change(times, values[channel])
    return gs.Waveform.from_samples(times, values, waveform.units)


def same(values: np.ndarray) -> np.ndarray:
    return values


def test_a_reference_is_small_text_with_its_provenance(pulse: gs.DoublePulse, reference: Path) -> None:
    text = reference.read_text()
    assert len(text) < 200_000
    heading = "time [s],v_gs_pin [V],v_ds_pin [V],i_d [A]"
    for words in ("# gateswing reference waveform", 'reason = "a test"', f'gateswing = "{gs.__version__}"',
                  'bench = "invented"', '"turn_off.ring_frequency"', heading):  # fmt: skip
        assert words in text
    record = testing.read_reference(reference)
    assert record.settings["reason"] == "a test"
    assert record.figures["turn_on.energy"] == (pulse.turn_on.energy, "J")
    assert testing.compare_waveforms(reference, pulse).is_same


def test_a_reference_stays_within_its_bound_and_keeps_the_peaks(
    pulse: gs.DoublePulse, reference: Path
) -> None:
    small, full = testing.read_reference(reference).waveform, pulse.waveform
    times = np.linspace(full.begin, full.end, 200_001)
    for name in PINS:
        span = float(np.ptp(full.values(name)))
        assert np.abs(small.value(name, times) - full.value(name, times)).max() < 0.002 * span
        for find in (_core.maximum, _core.minimum):
            peak = find(full.core, name, _core.whole(full.core)).value
            assert find(small.core, name, _core.whole(small.core)).value == pytest.approx(
                peak, abs=1e-4 * span
            )
    assert len(small.times) < 0.5 * len(full.times)


def test_a_jump_survives_decimation() -> None:
    waveform = gs.Waveform(
        _core.Waveform.from_nodes([_core.Channel("v", "V")], 1, [0.0, 1.0, 1.0, 2.0], [[0.0, 1.0, 5.0, 6.0]])
    )
    small = decimated(waveform, {"v": 0.01})
    assert small.value("v", [0.999, 1.001, 0.5]) == pytest.approx([0.999, 5.001, 0.5], abs=1e-6)


def test_a_rerun_with_a_tighter_tolerance_is_the_same(cell: gs.LowSideCell, reference: Path) -> None:
    for tolerance in (1e-5, 1e-7, 1e-9):
        found = testing.compare_waveforms(
            reference, gs.double_pulse(cell, relative_tolerance=tolerance, **TIMES)
        )
        assert found.is_same, found.table(only_different=True)


def wrong(name: str) -> tuple[Callable[[np.ndarray, np.ndarray], np.ndarray], str]:
    """A change that only one gate can see."""
    return {
        "a spike narrower than the tube": (
            lambda t, v: np.where(np.abs(t - 0.3e-6) < 0.04e-9, v + 90.0, v), "v_ds_pin",
        ),
        "a step on the plateau": (lambda t, v: np.where((t > 0.2e-6) & (t < 0.4e-6), v + 0.3, v), "v_gs_pin"),
        "an offset": (lambda _, v: v + 0.5, "i_d"),
    }[name]  # fmt: skip


@pytest.mark.parametrize("name", ["a spike narrower than the tube", "a step on the plateau", "an offset"])
def test_what_the_figures_of_edges_do_not_show_is_caught(name: str, pulse: gs.DoublePulse) -> None:
    record = bent(pulse.waveform, lambda _, v: same(v), "i_d")
    assert testing.compare_waveforms(record, bent(pulse.waveform, lambda _, v: same(v), "i_d")).is_same
    found = testing.compare_waveforms(record, bent(pulse.waveform, *wrong(name)))
    assert not found.is_same
    assert any(row.name.startswith(wrong(name)[1]) for row in found.different)


def test_a_shift_is_reported_and_gated(pulse: gs.DoublePulse) -> None:
    late = shifted(pulse.waveform, 0.15e-9)
    assert testing.compare_waveforms(pulse.waveform, late, align="gate").shift == pytest.approx(
        0.15e-9, rel=1e-3
    )
    assert testing.compare_waveforms(pulse.waveform, late, align="gate", channels=PINS).is_same
    later = testing.compare_waveforms(
        pulse.waveform, shifted(pulse.waveform, 5e-9), align="gate", channels=PINS
    )
    assert [row.name for row in later.different if row.gate == "shape"] == [
        "shift, v_gs_pin has gone a quarter of its first step"
    ]
    wide = testing.Tolerances(shift=6e-9)
    assert testing.compare_waveforms(
        pulse.waveform, shifted(pulse.waveform, 5e-9), align="gate", channels=PINS, tolerances=wide
    ).is_same


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
@pytest.mark.parametrize("case", [8, 14, 20])
def test_a_noisy_capture_has_the_rings_of_what_it_shows(case: int, cell: gs.LowSideCell) -> None:
    """As in 14, where i_D, 2 ns late, still carries the load current at the end of the transition of v_DS."""
    one = drawn(cell, case)
    shown, captured = (record_of(waveform, PINS).figures for waveform in (one.shown, one.capture.waveform()))
    compared = 0
    for name, (frequency, _) in shown.items():
        prefix = name.removesuffix("frequency")
        if not re.search(r"(v_ds|i_d).*after_edge_\d\.ring_frequency", name):
            continue
        if frequency * shown[f"{prefix}decay_time"].value < 3.0:
            continue  # too few cycles
        compared += 1
        for figure, most in (("frequency", 0.01), ("decay_time", 0.25), ("amplitude", 0.05)):
            found, true = captured[prefix + figure].value, shown[prefix + figure].value
            assert found == pytest.approx(true, rel=most), (prefix, figure)
    assert compared >= 2


def test_the_settled_level_of_a_ring_that_lasts_is_its_middle() -> None:
    times = np.arange(0.0, 1000e-9, 0.5e-9)
    gate = np.interp(times, [100e-9, 110e-9], [10.0, 0.0])
    ring = np.where(times > 200e-9, 20.0 * np.sin(2e7 * np.pi * (times - 200e-9)), 0.0)
    drain = np.interp(times, [180e-9, 200e-9], [0.0, 48.0]) + ring
    waveform = gs.Waveform.from_samples(
        times, {"v_gs_pin": gate, "v_ds_pin": drain}, {"v_gs_pin": "V", "v_ds_pin": "V"}
    )
    settled = record_of(waveform).figures["v_ds_pin.after_edge_0.settled"].value
    assert settled == pytest.approx(48.0, abs=0.2)


def test_a_channel_that_is_missing_is_told_once(pulse: gs.DoublePulse, reference: Path) -> None:
    times = np.arange(pulse.waveform.begin, pulse.waveform.end, 0.1e-9)
    values = {name: pulse.waveform.value(name, times) for name in PINS if name != "i_d"}
    waveform = gs.Waveform.from_samples(times, values, {name: pulse.waveform.units[name] for name in values})
    found = testing.compare_waveforms(reference, waveform)
    assert [row.name for row in found.different] == ["i_d in A"]


def test_figures_have_their_own_tolerances(cell: gs.LowSideCell, pulse: gs.DoublePulse) -> None:
    changed = gs.double_pulse(cell.replace(gate_resistance="10.02 ohm"), **TIMES)
    assert testing.compare_waveforms(pulse, changed).is_same
    tight = testing.Tolerances(figures={"turn_on.energy": (1e-5, 0.0)})
    (row,) = testing.compare_waveforms(pulse, changed, tolerances=tight).different
    assert (row.gate, row.name) == ("figure", "turn_on.energy")


def test_a_failure_names_what_differs_and_leaves_table_and_plot(
    cell: gs.LowSideCell, reference: Path, tmp_path: Path
) -> None:
    changed = gs.double_pulse(cell.replace(loop_inductance="12 nH"), **TIMES)
    with mpl.rc_context({"backend": "Agg"}), pytest.raises(testing.WaveformMismatchError) as caught:
        testing.assert_waveform_close(reference, changed, artefacts=tmp_path / "artefacts")
    message = str(caught.value)
    assert message.startswith("Different waveform: ")
    assert "figure: turn_off.overshoot" in message
    assert "DIFFERS" in message
    assert str(tmp_path / "artefacts" / "comparison.png") in message
    assert "Different waveform" in (tmp_path / "artefacts" / "comparison.txt").read_text()
    assert plt.imread(tmp_path / "artefacts" / "comparison.png")[..., :3].std() > 0.05
    assert "<table>" in caught.value.comparison._repr_html_()


def test_a_reference_that_cannot_be_used_is_an_input_error(
    pulse: gs.DoublePulse, reference: Path, tmp_path: Path
) -> None:
    spoilt = tmp_path / "spoilt.csv"
    for text, words in (
        ("", "does not begin with"),
        (reference.read_text().replace("schema = 2", "schema = 7"), "has the layout 7"),
        (reference.read_text().replace("# transition", "# transit"), "is spoilt"),
        (reference.read_text().replace("time [s]", "time [s],x"), "is spoilt"),
        ("\n".join(reference.read_text().splitlines()[:9]), "is spoilt"),
    ):
        spoilt.write_text(text)
        with pytest.raises(gs.InputError, match=words):
            testing.read_reference(spoilt)
    with pytest.raises(gs.InputError, match="cannot be read"):
        testing.read_reference(tmp_path / "nowhere.csv")
    with pytest.raises(gs.InputError, match="says nothing"):
        testing.write_reference(pulse, spoilt, reason=" ")
    with pytest.raises(gs.InputError, match="up to 200000"):
        testing.write_reference(pulse, spoilt, reason="too fine", bound=1e-6)
    with pytest.raises(gs.InputError, match="no such channel"):
        testing.write_reference(pulse, spoilt, reason="a test", channels=["v"])


def test_the_command_says_by_its_exit_code_whether_files_are_the_same(
    pulse: gs.DoublePulse, cell: gs.LowSideCell, reference: Path, tmp_path: Path
) -> None:
    def run(*arguments: object) -> tuple[int, str, str]:
        done = CliRunner().invoke(main, ["compare", *(str(one) for one in arguments)])
        return done.exit_code, done.stdout, done.stderr

    waveform, other, capture = (tmp_path / f"{name}.csv" for name in ("waveform", "other", "capture"))
    pulse.waveform.write_csv(waveform)
    gs.double_pulse(cell.replace(gate_resistance="12 ohm"), **TIMES).waveform.write_csv(other)
    times = np.arange(pulse.waveform.begin, pulse.waveform.end, 0.1e-9)
    values = np.column_stack([times, *(pulse.waveform.value(name, times) for name in PINS)])
    np.savetxt(
        capture, values, delimiter=";", header="Time (s);v_gs_pin (V);v_ds_pin (V);i_d (A)", fmt="%.9g"
    )
    code, shown, _ = run(reference, waveform)
    assert (code, shown.splitlines()[:3]) == (
        0, ["waveform.csv against pulse.csv", "", f"Same waveform: {shown.split()[5]} comparisons held."]
    )  # fmt: skip
    assert run(reference, capture)[0] == 0
    with mpl.rc_context({"backend": "Agg"}):
        code, shown, _ = run(reference, other, "--artefacts", tmp_path / "artefacts")
    assert code == 1
    assert "DIFFERS" in shown
    assert (tmp_path / "artefacts" / "comparison.png").is_file()
    code, shown, _ = run(reference, other, "--json", "--channels", "i_d", "--align", "gate")
    assert code == 1
    assert json.loads(shown)["outcome"] == "different"
    assert {row["name"].split(".")[0].split(",")[0] for row in json.loads(shown)["rows"]} >= {"i_d"}
    code, _, shown = run(reference, tmp_path / "nowhere.csv")
    assert code == 2
    assert "cannot be read" in shown
    assert run(waveform, waveform, "--channels", "v")[0] == 2
    waveform.write_text("# waveform of degree 4\nrubbish\n")
    assert run(reference, waveform)[0] == 2


def test_the_command_compares_a_capture_as_it_comes(
    pulse: gs.DoublePulse, reference: Path, tmp_path: Path
) -> None:
    capture = tmp_path / "capture.csv"
    times = np.arange(pulse.waveform.begin, pulse.waveform.end, 0.1e-9)
    gate, drain, current = (pulse.waveform.value(name, times) for name in PINS)
    table = np.column_stack([times + 5e-9, gate, 1.02 * drain, current / 10.0])
    np.savetxt(capture, table, delimiter=";", header="Time (s);CH1 (V);CH2 (V);CH3 (V)", fmt="%.9g")

    def run(*options: str, files: tuple[Path, Path] = (reference, capture)) -> Result:
        return CliRunner().invoke(main, ["compare", *(str(one) for one in (*files, *options))])

    columns = [text for one in ("v_gs_pin=CH1", "v_ds_pin=CH2", "i_d=CH3") for text in ("--channel", one)]
    taken = [*columns, "--scale", "i_d=10 A", "--read", "delimiter=;", "--align", "gate"]
    wide = ("shift=6 ns", "tube_value=3 %", "tube_time=1 ns", "ring_decay_time=20 %")
    assert run(*taken).exit_code == 1
    done = run(*taken, *(text for one in wide for text in ("--tolerance", one)))
    assert done.exit_code == 0, done.output
    # Either of the two may be the capture.
    assert "Different waveform" in run(*taken, files=(capture, reference)).stdout
    for options, words in (
        ([], f"{capture} and {reference} cannot be compared:\n  --channels: none of CH1, CH2, CH3 is in the"),
        ([], 'Name the columns of a capture: --channel "v_gs_pin=CH1".'),
        ([*taken, "--channels", "v_ds_pin,i_dd"], "--channels = 'i_dd': not in the reference. Allowed: "),
        ([*taken, "--tolerance", "delai=5 %"], "no such gate. Did you mean 'delay'?"),
        ([*taken, "--tolerance", "delay=5 V"], "--tolerance delay = '5 V': has the unit 'V'"),
        (
            ["--channel", "v_gs_pin=CH9"],
            f"{capture} cannot be used:\n  --channel v_gs_pin = 'CH9'",
        ),
        (["--read", "decimal=;"], "--read decimal=... = ';': no decimal sign"),
    ):
        done = run(*options)
        assert done.exit_code == 2, (options, done.output)
        assert words in done.stderr, done.stderr


GUARDED = """
import gateswing as gs
def test_ring(waveform_regression):
    import numpy as np
    times = np.linspace(0.0, 1.0, 501)
    waveform = gs.Waveform.from_samples(times, {"v": VALUE * np.exp(-times)}, {"v": "V"})
    waveform_regression(waveform)
"""


def test_the_plugin_never_writes_a_reference_unasked(
    pytester: pytest.Pytester, monkeypatch: pytest.MonkeyPatch
) -> None:
    def run(value: str, *options: str) -> tuple[int, str]:
        pytester.makepyfile(test_guarded=GUARDED.replace("VALUE", value))
        done = pytester.runpytest_inprocess("-p", "gateswing.pytest_plugin", *options)
        return int(done.ret), done.stdout.str() + done.stderr.str()

    monkeypatch.setenv("PYTEST_DISABLE_PLUGIN_AUTOLOAD", "1")  # others take seconds to load
    tmp_path = pytester.path
    path = tmp_path / "references" / "test_guarded" / "test_ring.csv"
    code, shown = run("1.0")
    assert code == 1, shown
    assert "there is no reference" in shown
    assert not path.exists()
    code, shown = run("1.0", "--renew-waveforms", "it decays as it should")
    assert code == 0
    assert "references renewed: it decays as it should" in shown
    assert 'reason = "it decays as it should"' in path.read_text()
    code, shown = run("1.1", "--waveform-artefacts", str(tmp_path / "artefacts"))
    assert code == 1
    assert "Different waveform" in shown
    assert (tmp_path / "artefacts" / "test_guarded" / "test_ring" / "comparison.png").is_file()
    code, shown = run("1.1", "--renew-waveforms", "it is higher now")
    assert code == 0
    assert "figure: v.maximum" in shown
    assert run("1.1")[0] == 0
    assert run("1.1", "--renew-waveforms", " ")[0] == 4
