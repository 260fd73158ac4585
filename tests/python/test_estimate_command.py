"""The command ``gateswing estimate``: what it says, and whom it blames for what cannot be used."""

import json
import re
from pathlib import Path

import matplotlib as mpl
import numpy as np
import pytest
from click.testing import CliRunner, Result
from matplotlib import pyplot as plt

import gateswing as gs
from drawn_captures import CHANNELS, Case, drawn
from gateswing.cli import main

pytestmark = pytest.mark.filterwarnings("ignore::gateswing.InputWarning")


@pytest.fixture(scope="module")
def files(
    design: gs.Design, cell: gs.LowSideCell, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Case, Path, Path]:
    """A case, its cell as a design file, and its capture as an instrument exports it, 10 A for each volt."""
    one, folder = drawn(cell, 3), tmp_path_factory.mktemp("bench")
    known, seen = folder / "board.toml", folder / "scope.csv"
    gs.write_design(design.replace(cell=one.cell), known)
    gate, drain, current = (one.capture.values[name] for name in CHANNELS)
    table = np.column_stack([one.capture.times, gate, drain, current / 10.0])
    np.savetxt(seen, table, delimiter=",", header="Time (s),CH1 (V),CH2 (V),CH3 (V)", comments="", fmt="%.9e")
    return one, known, seen


GOOD = ["--unknown", "loop_inductance=2 nH to 100 nH"]
CHANNEL_OPTIONS = [
    text for name in ("v_gs_pin=CH1", "v_ds_pin=CH2", "i_d=CH3") for text in ("--channel", name)
]


def command(*arguments: object, scale: str = "i_d=10 A") -> Result:
    options = [*CHANNEL_OPTIONS, "--scale", scale, *(str(one) for one in arguments)]
    return CliRunner().invoke(main, ["estimate", *options])


def test_the_command_says_what_the_function_says(files: tuple[Case, Path, Path], tmp_path: Path) -> None:
    one, known, seen = files
    picture = tmp_path / "fit.png"
    bandwidth, current = f"{one.probe.bandwidth!r} Hz", f"{one.current!r} A"
    own = ["--unknown", "loop_inductance=2 nH to 100 nH", "--bandwidth", bandwidth, "--current", current]
    with mpl.rc_context({"backend": "Agg"}):
        result = command(known, seen, *own, "--json", "--plot", picture)
    assert result.exit_code == 0, result.output
    answer = json.loads(result.stdout)
    assert (answer["design"], answer["file"]) == (str(known), str(seen))
    unknowns = {"loop_inductance": ("2 nH", "100 nH")}
    found = gs.estimate(one.cell, one.capture, unknowns, probe=one.probe, current=one.current)
    (row,) = answer["estimates"]
    assert row["value"] == pytest.approx(found["loop_inductance"].value, rel=1e-4)
    assert row["low"] < one.true("loop_inductance") < row["high"]
    assert plt.imread(picture)[..., :3].std() > 0.05
    both = [*own, "--unknown", "driver.turn_on_delay=10 ns to 30 ns", "--starts", "1"]
    result = command(known, seen, *both)
    assert result.exit_code == 1
    assert result.stdout.startswith("scope.csv, by board.toml\n\n")
    assert "The capture does not tell: driver.turn_on_delay" in result.stdout
    assert result.stdout.rstrip().endswith("no evidence of conformity with any standard.")


def test_a_wrong_scale_is_a_warning(files: tuple[Case, Path, Path]) -> None:
    one, known, seen = files
    own = ["--unknown", "loop_inductance=2 nH to 100 nH", "--current", f"{one.current!r} A"]
    result = command(known, seen, *own, "--bandwidth", f"{one.probe.bandwidth!r} Hz", scale="i_d=1 A")
    assert result.exit_code == 1
    found = re.search(r"warning: gain of i_d\W+fitted as (\S+),", result.stdout)
    assert found, result.stdout
    assert float(found[1]) == pytest.approx(0.1, rel=0.03)


# Of Python: a keyword that is no option, a call.
PYTHON_WORDS = re.compile(r"""(?<!--read ")(?<!--read )\b[a-z_]+=(?=['"{\[(,.;: ]|$)|\w\(""")


@pytest.mark.parametrize(
    ("options", "subject", "words"),
    [
        (
            ["--unknown", "loop_inductance"],
            "The options",
            "= 'loop_inductance': is not of the form",
        ),
        (["--unknown", "loop_inductance=5 nH"], "The options", 'Write "loop_inductance=LOW to HIGH"'),
        (
            ["--unknown", "loop_inductance=5 nH to 9 F"],
            "The options",
            "--unknown loop_inductance.high =",
        ),
        (["--unknown", "loop_inductanc=5 nH to 9 nH"], "The options", "Did you mean 'loop_inductance'?"),
        ([*GOOD, *GOOD], "The options", "--unknown = 'loop_inductance': is given more than once."),
        ([*GOOD, "--scale", "v_gs=2"], "The options", "--scale = 'v_gs': is of no --channel."),
        ([*GOOD, "--bandwidth", "fast"], "The options", "--bandwidth = 'fast': not a frequency"),
        ([*GOOD, "--current", "2 V"], "The options", "--current = '2 V': has the unit 'V'"),
        ([*GOOD, "--gain-error", "200 %"], "The options", "--gain-error = '200 %': out of range"),
        ([*GOOD, "--starts", "0"], "The options", "--starts = 0: out of range"),
        ([*GOOD, "--read", "delimitr=;"], "The options", "Did you mean 'delimiter'?"),
        ([*GOOD, "--read", "first_line=x"], "The options", "--read first_line = 'x': is no whole number"),
        ([*GOOD, "--read", "delimiter=;"], "scope.csv", "If there is one, give --read delimiter=..., --read"),
        ([*GOOD, "--read", "time_column=none"], "scope.csv", 'for example --read "sample_interval=0.4 ns"'),
        (
            [*GOOD, "--read", "names=a, b"],
            "scope.csv",
            "4 columns of numbers, but --read names=... names 2",
        ),
        ([*GOOD, "--between", "1 us"], "The options", "--between = '1 us': has no two ends. Write"),
        ([*GOOD, "--between", "1 ms to 2 ms"], "scope.csv", "no sample in between"),
        ([*GOOD, "--between", "0 s to 200 ns"], "scope.csv", "shows no turn-on with a turn-off after it."),
        ([*GOOD, "--segment", "3"], "scope.csv", "--segment = 3: no such segment"),
    ],
)
def test_options_that_cannot_be_used_are_told_as_they_were_typed(
    options: list[str], subject: str, words: str, files: tuple[Case, Path, Path]
) -> None:
    _, known, seen = files
    result = command(known, seen, *options)
    assert result.exit_code == 2, result.output
    assert result.stderr.startswith(f"{subject if subject != 'scope.csv' else seen} cannot be used:\n")
    assert words in result.stderr, result.stderr
    assert not PYTHON_WORDS.search(result.stderr), result.stderr


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--channel", "v_gs_pin=CH1", "--channel", "v_ds_pin=ch2"], "Did you mean 'CH2'?"),
        (["--channel", "v_gs_pin=CH1", "--channel", "v_ds_pn=CH2"], "--channel v_ds_pn: no channel. Did you"),
        (["--channel", "v_gs_pin=CH1"], """has no channel 'v_ds_pin'. Allowed: v_gs_pin. If it is one of"""),
        ([], 'If it is one of these, say so: --channel "v_gs_pin=CH1".'),
        (["--channel", "i_d=CH3"], 'If 1 in it is 10 A, give --scale "i_d=10 A".'),
        ([*CHANNEL_OPTIONS, "--scale", "i_d=-10 A"], "the probe looks inverted. Turn it round by a negative"),
    ],
)
def test_the_capture_is_blamed_for_its_channels(
    options: list[str], words: str, files: tuple[Case, Path, Path]
) -> None:
    _, known, seen = files
    arguments = ["estimate", known, seen, *GOOD, *options]
    result = CliRunner().invoke(main, [str(one) for one in arguments])
    assert result.exit_code == 2, result.output
    assert result.stderr.startswith(f"{seen} cannot be used:\n"), result.stderr
    assert words in result.stderr, result.stderr
    assert not PYTHON_WORDS.search(result.stderr), result.stderr
    as_json = CliRunner().invoke(main, [str(one) for one in [*arguments, "--json"]])
    answer = json.loads(as_json.stdout)
    assert (answer["file"], answer["outcome"]) == (str(seen), "bad input")


def test_files_that_are_not_there_are_named(files: tuple[Case, Path, Path], tmp_path: Path) -> None:
    _, known, seen = files
    for design, capture in ((known, tmp_path / "nowhere.csv"), (tmp_path / "nowhere.toml", seen)):
        result = command(design, capture, *GOOD)
        assert result.exit_code == 2
        missing = capture if design == known else design
        assert result.stderr.startswith(f"{missing} cannot be used:\n")


def test_scales_and_layouts_are_understood_as_they_are_typed(
    files: tuple[Case, Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    one, known, seen = files
    given: list[gs.Waveform] = []

    def keep(_cell: object, waveform: gs.Waveform, *_: object, **__: object) -> None:
        given.append(waveform)
        raise KeyboardInterrupt

    monkeypatch.setattr("gateswing.measurement.estimate.estimate", keep)
    for scale in ("i_d=10 A", "i_d=10A", "i_d=10000 mA", "i_d=1e1 A", "i_d=+10. A"):
        assert command(known, seen, *GOOD, scale=scale).exit_code == 130
    named = [
        "--read",
        "names=t, v_gs_pin, v_ds_pin, i_d",
        "--read",
        "units=s, V, V, A",
        "--read",
        "time_column=0",
    ]
    arguments = ["estimate", str(known), str(seen), *GOOD, *named, "--scale", "i_d=10"]
    assert CliRunner().invoke(main, arguments).exit_code == 130
    middle = ["--between", f"{one.capture.times[20]:.9e} s to {one.capture.times[-20]:.9e} s"]
    assert command(known, seen, *GOOD, *middle).exit_code == 130
    assert len(given.pop().times) == len(given[0].times) - 2 * 39
    # One file for each channel.
    table = np.loadtxt(seen, delimiter=",", skiprows=1)
    paths = [seen.with_name(f"{name}.csv") for name in CHANNELS]
    for column, path in enumerate(paths, 1):
        np.savetxt(path, table[:, [0, column]], delimiter=",", header="Time (s),CH (V)", comments="")
    arguments = ["estimate", *(str(one) for one in (known, *paths)), *GOOD, "--scale", "i_d=10 A"]
    assert CliRunner().invoke(main, arguments).exit_code == 130
    for waveform in given:
        assert waveform.values("i_d").max() == pytest.approx(given[0].values("i_d").max())
        assert set(waveform.units) == set(CHANNELS)
    assert given[0].values("i_d").max() == pytest.approx(one.capture.values["i_d"].max())


def test_a_picture_that_cannot_be_drawn_exits_with_2(
    files: tuple[Case, Path, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    one, known, seen = files
    unknowns = {"loop_inductance": ("2 nH", "100 nH")}
    found = gs.estimate(one.cell, one.capture, unknowns, current=one.current, starts=1)
    monkeypatch.setattr("gateswing.measurement.estimate.estimate", lambda *_, **__: found)
    reasons = {
        "no/fit.png": r"cannot be written: No such file or directory\.",
        "fit.txt": r"Format 'txt' is not supported \(supported formats: [a-z, ]+\)\.",
    }
    for name, reason in reasons.items():
        path = tmp_path / name
        with mpl.rc_context({"backend": "Agg"}):
            text = command(known, seen, *GOOD, "--plot", path)
            as_json = command(known, seen, *GOOD, "--plot", path, "--json")
        line = rf"The options cannot be used:\n  --plot = {re.escape(repr(str(path)))}: {reason}\n"
        for result in (text, as_json):
            assert result.exit_code == 2, result.output
            assert re.fullmatch(line, result.stderr), result.stderr
        # What the fit found is not lost with the picture.
        assert text.stdout == f"scope.csv, by board.toml\n\n{found!r}\n"
        assert json.loads(as_json.stdout)["estimates"] == found.to_mapping()["estimates"]
