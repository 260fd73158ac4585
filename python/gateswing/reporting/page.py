"""The report on a design as one page in HTML that needs no other file and no network."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date as Date  # noqa: N812, the argument below has the word
from pathlib import Path
from typing import Any

import tomli_w
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from .. import __version__
from ..cautions import ESTIMATE
from ..circuit.design_file import BridgeDesign, Design
from ..document import SCHEMA
from ..errors import SimulationError
from ..hand_formulas.listing import HandFormulas
from ..limits.verdict import BridgeVerdict, Verdict, check
from ..model import Model
from ..studies.asking import RELATIVE_TOLERANCE
from ..studies.bridge_point import HalfBridgePoint
from ..studies.results import OperatingPoint
from .chart import chart_data
from .inputs import InputGroup, input_groups
from .pictures import edges_picture, losses_picture

__all__ = ["Report", "report"]

_FOLDER = Path(__file__).parent


@dataclass(frozen=True, repr=False)
class Report:
    """A page about a design.

    Attributes:
        verdict: what the page tells.
        html: the page.
    """

    verdict: Verdict | BridgeVerdict
    html: str

    def write(self, path: str | Path) -> None:
        """Write the page to a file.

        Raises:
            OSError: the file cannot be written.
        """
        Path(path).write_text(self.html, encoding="utf-8", newline="\n")

    def __repr__(self) -> str:
        return f"Report of {len(self.html.encode()) / 1e3:.0f} kB: {self.verdict.sentence()}"


def report(subject: Design | BridgeDesign | Verdict | BridgeVerdict, *, date: Date | None = None) -> Report:
    """Tell all about a design on one page: verdict, limits, edges, losses, figures, assumptions.

    Args:
        subject: a design, of a low-side cell or of a half bridge, which is judged first, or the verdict on
            one.
        date: to print on the page; left out: none, so that the same design gives the same page.

    Returns:
        The page. A run that did not finish has one too, without the pictures that it has no numbers for.

    Raises:
        InputError: it is no design.
    """
    verdict = subject if isinstance(subject, Verdict | BridgeVerdict) else check(subject)
    script = _asset("chart.js")
    page = _environment().get_template("page.html")
    return Report(verdict, page.render(_contents(verdict, date), script=script, script_hash=_hash(script)))


def _environment() -> Environment:
    # Whatever the template prints is escaped, unless it says that it is markup.
    made = Environment(
        loader=PackageLoader(__name__.rpartition(".")[0], ""),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.policies["json.dumps_kwargs"] = {"allow_nan": False, "separators": (",", ":")}
    return made


def _contents(verdict: Verdict | BridgeVerdict, date: Date | None) -> dict[str, Any]:
    """What the template prints."""
    design, point = verdict.design, verdict.point
    tables = point.sections()
    has_waveform = len(point.waveform.times) > 0
    return {
        "style": _asset("page.css"),
        "verdict": verdict,
        "title": design.title or "Design without a title",
        "estimate": ESTIMATE,
        "edges": edges_picture(point) if has_waveform else None,
        "chart": chart_data(point) if has_waveform else None,
        "losses": losses_picture(point),
        "tables": tables[:-1],
        "edge_tables": point.edge_sections(),
        "trust": tables[-1][1],
        "hand": _hand_formulas(point),
        "inputs": list(_inputs(design)),
        "provenance": _provenance(date),
        "file": tomli_w.dumps(design.to_mapping()),
    }


def _inputs(design: Design | BridgeDesign) -> Iterator[InputGroup]:
    for name in type(design).model_fields:
        part = getattr(design, name)
        if isinstance(part, Model):
            yield from input_groups(part, name)


def _hand_formulas(point: OperatingPoint | HalfBridgePoint) -> HandFormulas | None:
    try:
        return point.hand_formulas()
    except SimulationError:
        return None


def _provenance(date: Date | None) -> list[tuple[str, str]]:
    return [
        ("date", date.isoformat() if date else "not stated"),
        ("made by", f"gateswing {__version__}"),
        ("layout of the design file", f"schema {SCHEMA}"),
        ("relative tolerance of a step of the integrator", f"{RELATIVE_TOLERANCE:.0e}"),
    ]


def _asset(name: str) -> Markup:
    """The text of a file of ours that goes into the page as it is."""
    return Markup((_FOLDER / name).read_text(encoding="utf-8"))


def _hash(script: str) -> str:
    """How a page's security policy names the one script that may run."""
    return f"sha256-{base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()}"
