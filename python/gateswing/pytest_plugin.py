"""The plugin of pytest: the fixture ``waveform_regression`` and its options.

A missing reference fails; none is ever written but with ``--renew-waveforms REASON``, which writes those of
the tests that run, and prints at the end what changed. Every run of pytest loads this module, so it imports
the comparison at first use.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from .testing import Comparison

__all__ = ["waveform_regression"]

_FOLDER = "references"
_PROPERTY = "renewed waveform reference"


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

    Call it with an answer of :func:`gateswing.double_pulse` or a waveform, and with ``name`` where a test has
    several. ``channels`` and ``settings`` go into the reference; the other arguments are those of
    :func:`gateswing.testing.assert_waveform_close`. The reference is ``references/<module>/<test>.csv``
    beside the test, or ``<test>-<name>.csv``.
    """

    def check(
        source: Any,
        *,
        name: str = "",
        channels: Sequence[str] | None = None,
        settings: dict[str, object] | None = None,
        **options: Any,
    ) -> Comparison | None:
        from .testing import assert_waveform_close

        __tracebackhide__ = True
        path = _path(request, name)
        reason = request.config.getoption("--renew-waveforms")
        if reason is not None:
            _renew(request, path, source, reason, channels, settings, options)
            return None
        if not path.is_file():
            command = f"pytest '{request.node.nodeid}' --renew-waveforms 'why this waveform is right'"
            pytest.fail(f"there is no reference {path}. To write it: {command}", pytrace=False)
        folder = request.config.getoption("--waveform-artefacts")
        artefacts = None if folder is None else Path(folder) / path.parent.name / path.stem
        return assert_waveform_close(path, source, channels=channels, artefacts=artefacts, **options)

    return check


def _path(request: pytest.FixtureRequest, name: str) -> Path:
    test = re.sub(r"[^\w.-]+", "_", request.node.name).strip("_")
    file = f"{test}-{name}.csv" if name else f"{test}.csv"
    return Path(request.path).parent / _FOLDER / Path(request.path).stem / file


def _renew(
    request: pytest.FixtureRequest,
    path: Path,
    source: Any,
    reason: str,
    channels: Sequence[str] | None,
    settings: dict[str, object] | None,
    options: dict[str, Any],
) -> None:
    from .testing import compare_waveforms, write_reference

    summary = "new"
    if path.is_file():
        comparison = compare_waveforms(path, source, channels=channels, **options)
        summary = comparison.summary()
        summary += "" if comparison.is_same else f"\n{comparison.table(only_different=True)}"
    write_reference(source, path, reason=reason, channels=channels, settings=settings)
    request.node.user_properties.append((_PROPERTY, f"{path}: {summary}"))


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
