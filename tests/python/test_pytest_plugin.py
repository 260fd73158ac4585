"""The fixture that guards waveforms, in tests of its own."""

# Modules that pytester forgets, and that can be loaded but once, are loaded here.
import matplotlib.pyplot  # noqa: F401, ICN001
import pandas  # noqa: F401, ICN001
import pytest
import scipy.ndimage  # type: ignore[import-untyped]  # noqa: F401

from gateswing import testing  # noqa: F401

pytest_plugins = ["pytester"]

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
    # What cannot be compared any more is replaced.
    path.write_text(path.read_text().replace("schema = 2", "schema = 9"))
    code, shown = run("1.1", "--renew-waveforms", "another layout")
    assert code == 0
    assert "replaced, since it could not be compared: " in shown
    assert run("1.1")[0] == 0


SEVERAL = """
import gateswing as gs
import numpy as np
import pytest

def decay(size):
    times = np.linspace(0.0, 1.0, 501)
    return gs.Waveform.from_samples(times, {"v": size * np.exp(-times)}, {"v": "V"})

class TestFirst:
    def test_e(self, waveform_regression):
        waveform_regression(decay(1.0))

    class TestInner:
        def test_e(self, waveform_regression):
            waveform_regression(decay(1.5))

class TestSecond:
    def test_e(self, waveform_regression):
        waveform_regression(decay(2.0))

@pytest.mark.parametrize("kind", ["a/b", "a b", "a_b", "a_b_"])
def test_p(kind, waveform_regression):
    waveform_regression(decay({"a/b": 3.0, "a b": 4.0, "a_b": 5.0, "a_b_": 5.5}[kind]))

def test_twice(waveform_regression):
    waveform_regression(decay(6.0))
    waveform_regression(decay(6.0)NAME)
"""


def test_each_comparison_has_a_reference_of_its_own(
    pytester: pytest.Pytester, monkeypatch: pytest.MonkeyPatch
) -> None:
    def run(name: str, *options: str) -> pytest.RunResult:
        pytester.makepyfile(test_several=SEVERAL.replace("NAME", name))
        return pytester.runpytest_inprocess("-p", "gateswing.pytest_plugin", *options)

    monkeypatch.setenv("PYTEST_DISABLE_PLUGIN_AUTOLOAD", "1")
    done = run("", "--renew-waveforms", "each its own")
    done.assert_outcomes(passed=7, failed=1)
    done.stdout.fnmatch_lines(["*test_twice.csv has been written by another comparison: give each a name.*"])
    run(', name="again"', "--renew-waveforms", "each its own").assert_outcomes(passed=8)
    run(', name="again"').assert_outcomes(passed=8)
