"""`gateswing compare`: two files, of which either may be a capture."""

import json
from pathlib import Path
from typing import Any

import matplotlib as mpl
import numpy as np
import pytest
from click.testing import CliRunner, Result

import gateswing as gs
from gateswing.cli import main

TIMES: dict[str, Any] = {"on_time": "0.6 us", "off_time": "0.6 us"}
PINS = ["v_gs_pin", "v_ds_pin", "i_d"]


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


@pytest.fixture
def capture(pulse: gs.DoublePulse, tmp_path: Path) -> Path:
    """The same 5 ns later and with 2 % more on the drain, as an instrument writes it."""
    path = tmp_path / "capture.csv"
    times = np.arange(pulse.waveform.begin, pulse.waveform.end, 0.1e-9)
    gate, drain, current = (pulse.waveform.value(name, times) for name in PINS)
    table = np.column_stack([times + 5e-9, gate, 1.02 * drain, current / 10.0])
    np.savetxt(path, table, delimiter=";", header="Time (s);CH1 (V);CH2 (V);CH3 (V)", fmt="%.9g")
    return path


def test_the_command_compares_a_capture_as_it_comes(reference: Path, capture: Path) -> None:
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
        (
            [*taken, "--tolerance", "delay=5 V"],
            "--tolerance = 'delay': is an amount in V, and the figure in s.",
        ),
        ([*taken, "--tolerance", "delay=5 furlongs"], "--tolerance delay = '5 furlongs': has the unit"),
        (
            [*taken, "--tolerance", "tube_time=-1 ns"],
            "--tolerance tube_time = '-1 ns': out of range. Allowed: ",
        ),
        (
            ["--channel", "v_gs_pin=CH9"],
            f"{capture} cannot be used:\n  --channel v_gs_pin = 'CH9'",
        ),
        (["--read", "decimal=;"], "--read decimal=... = ';': no decimal sign"),
    ):
        done = run(*options)
        assert done.exit_code == 2, (options, done.output)
        assert words in done.stderr, done.stderr


def test_the_command_compares_a_part_of_a_capture_over_the_channels_of_both(
    pulse: gs.DoublePulse, capture: Path, tmp_path: Path
) -> None:
    whole = tmp_path / "whole.csv"
    pulse.waveform.write_csv(whole)  # with the dies, which no probe reaches
    taken = [text for one in ("v_gs_pin=CH1", "v_ds_pin=CH2") for text in ("--channel", one)]
    taken += ["--tolerance", "shift=6 ns", "--align", "gate"]

    def run(*options: str) -> Result:
        return CliRunner().invoke(main, ["compare", str(whole), str(capture), *taken, *options])

    names = [row["name"] for row in json.loads(run("--json").stdout)["rows"]]
    assert {name for name in names if " in " in name} == {"v_gs_pin in V", "v_ds_pin in V"}
    done = run("--between", "0 ns to 300 ns")
    assert done.exit_code == 1
    assert "record's end" in done.stdout
    done = run("--segment", "3")
    assert done.exit_code == 2
    assert "--segment" in done.stderr


def test_options_for_captures_are_refused_where_no_file_is_one(reference: Path) -> None:
    options = ["--scale", "i_d=10 A", "--segment", "3"]
    done = CliRunner().invoke(main, ["compare", str(reference), str(reference), *options])
    assert done.exit_code == 2
    assert "--scale: is about captures, and neither file is one." in done.stderr
    assert "--segment: is about captures, and neither file is one." in done.stderr
