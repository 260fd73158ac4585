"""The plugin of pytest: the fixture ``waveform_regression`` and its options.

A missing reference fails; none is ever written but with ``--renew-waveforms REASON``, which writes those of
the tests that run, and prints at the end what changed. Every run of pytest loads this module, so it imports
the comparison at first use.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from .errors import InputError

if TYPE_CHECKING:
    from .testing import Comparison, Tolerances
    from .waveforms.alignment import Alignment

__all__ = ["waveform_regression"]

_FOLDER = "references"
_PROPERTY = "renewed waveform reference"
_WRITTEN = pytest.StashKey[set[Path]]()


def pytest_addoption(parser: pytest.Parser) -> None:
    """Options of this plugin."""
    group = parser.getgroup("waveforms", "references of waveforms")
    group.addoption(
        "--renew-waveforms",
        metavar="REASON",
        default=None,
        help="write the references of the tests that run anew, and say why in each",
    )
    group.addoption(
        "--waveform-artefacts",
        metavar="FOLDER",
        default=None,
        help="where a failed comparison leaves its table and its plot with the tube",
    )


def pytest_configure(config: pytest.Config) -> None:
    """A renewal without a reason is none."""
    reason = config.getoption("--renew-waveforms")
    if reason is not None and not reason.strip():
        raise pytest.UsageError("--renew-waveforms needs a reason, in a sentence")


@pytest.fixture
def waveform_regression(request: pytest.FixtureRequest) -> Callable[..., Comparison | None]:
    """Compare a waveform with the reference of this test.

    Call it with an answer of :func:`gateswing.double_pulse` or a waveform, and with

    * ``name``, where a test has several;
    * ``channels``, such as ``["v_gs_pin", "v_ds_pin", "i_d"]``: a reference of all may be too large;
    * ``settings``, what it was made with, for the head of the reference;
    * ``align`` and ``tolerances``, as :func:`gateswing.testing.assert_waveform_close` has them.

    The reference is ``references/<module>/<class>.<test>.csv`` beside the test, or with ``-<name>``. What a
    failed comparison leaves goes into the folder of the option ``--waveform-artefacts``.
    """

    def check(
        source: Any,
        *,
        name: str = "",
        channels: Sequence[str] | None = None,
        settings: dict[str, object] | None = None,
        align: Alignment = "none",
        tolerances: Tolerances | None = None,
    ) -> Comparison | None:
        from .testing import assert_waveform_close, compare_waveforms, write_reference

        __tracebackhide__ = True
        path = _path(request, name)
        reason = request.config.getoption("--renew-waveforms")
        if reason is not None:
            comparison = partial(compare_waveforms, channels=channels, align=align, tolerances=tolerances)
            summary = _difference(path, lambda: comparison(path, source))
            _require_own(request, path)
            write_reference(source, path, reason=reason, channels=channels, settings=settings)
            request.node.user_properties.append((_PROPERTY, f"{path}: {summary}"))
            return None
        if not path.is_file():
            command = f"pytest '{request.node.nodeid}' --renew-waveforms 'why this waveform is right'"
            pytest.fail(f"there is no reference {path}. To write it: {command}", pytrace=False)
        folder = request.config.getoption("--waveform-artefacts")
        artefacts = None if folder is None else Path(folder) / path.parent.name / path.stem
        return assert_waveform_close(
            path, source, channels=channels, align=align, tolerances=tolerances, artefacts=artefacts
        )

    return check


def _path(request: pytest.FixtureRequest, name: str) -> Path:
    """Beside the test; what not every file system takes is written as the character's code."""
    place = [request.cls.__qualname__] if request.cls else []
    test = ".".join([*place, request.node.name]) + (f"-{name}" if name else "")
    file = re.sub(r"[^\w.\[\]-]", lambda odd: f"%{ord(odd[0]):x}", test)
    return Path(request.path).parent / _FOLDER / Path(request.path).stem / f"{file}.csv"


def _difference(path: Path, compare: Callable[[], Comparison]) -> str:
    """What changes in a reference, in words."""
    if not path.is_file():
        return "new"
    try:
        comparison = compare()
    except InputError as error:
        return f"replaced, since it could not be compared: {error}"
    return comparison.summary() + ("" if comparison.is_same else f"\n{comparison.table(only_different=True)}")


def _require_own(request: pytest.FixtureRequest, path: Path) -> None:
    """Refuse to write what another call has written in this run."""
    written = request.config.stash.setdefault(_WRITTEN, set())
    if path in written:
        pytest.fail(f"{path} has been written by another comparison: give each a name.", pytrace=False)
    written.add(path)


def pytest_terminal_summary(terminalreporter: Any, config: pytest.Config) -> None:
    """Print what was renewed, and how it differs from what was there."""
    reports = [
        one for found in terminalreporter.stats.values() for one in found if hasattr(one, "user_properties")
    ]
    texts = [text for one in reports if getattr(one, "when", "") == "call"
             for key, text in one.user_properties if key == _PROPERTY]  # fmt: skip
    if texts:
        terminalreporter.section(f"references renewed: {config.getoption('--renew-waveforms')}")
        for text in texts:
            terminalreporter.write_line(text)
