"""The Python of the README runs as it stands, from top to bottom."""

from pathlib import Path

import numpy as np
import pytest

import gateswing as gs
import live_code

README = Path(__file__).parents[2] / "README.md"


def write_capture(edges: gs.DoublePulse, path: Path) -> None:
    """The bench's view of both edges: three channels with noise, the current probe at 10 A/V."""
    times = np.linspace(edges.waveform.begin, edges.waveform.end, 4000)
    columns = [edges.waveform.value(name, times) for name in ("v_gs_pin", "v_ds_pin", "i_d")]
    rng = np.random.default_rng(2)
    columns = [one + 0.01 * np.ptp(one) * rng.standard_normal(len(one)) for one in columns]
    table = np.column_stack([times, columns[0], columns[1], columns[2] / 10.0])
    np.savetxt(path, table, delimiter=",", header="Time (s),CH1 (V),CH2 (V),CH3 (V)", comments="")


@pytest.mark.filterwarnings("ignore::gateswing.InputWarning")
def test_the_code_of_the_readme_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    names: dict[str, object] = {}
    for block in live_code.blocks(README.read_text(encoding="utf-8")):
        if "scope.csv" in block:
            edges = names["edges"]
            assert isinstance(edges, gs.DoublePulse)
            write_capture(edges, tmp_path / "scope.csv")
        exec(compile(block, str(README), "exec"), names)
    verdict = names["verdict"]
    assert isinstance(verdict, gs.Verdict)
    assert verdict.outcome in {"held", "marginal", "exceeded"}
