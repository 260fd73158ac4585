"""Sliders in a notebook that move an operating point, and what it does: verdict, edges, losses.

Everything shown is a function's answer: ``gs.quick_check(explorer.design)`` is the verdict, its ``point``
holds the figures, ``gateswing.plot.plot_overview`` draws the same picture.
"""

from __future__ import annotations

import base64
import html
import io
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from ..circuit.cell import LowSideCell
from ..circuit.design_file import Design, Limits
from ..circuit.operation import Operation
from ..errors import InputError
from ..figures import format_figure
from ..limits.verdict import Verdict, quick_check
from ..model import require_model
from ..preferred import preferred_values

if TYPE_CHECKING:
    import ipywidgets  # type: ignore[import-untyped]

    from ..plot.overview import MovingOverview

__all__ = ["Explorer", "explorer"]

# Times the given value, either way, that a slider goes.
_FREQUENCIES, _RESISTANCES = 30.0, 20.0
_STRENGTHS = {"1/8": 0.125, "1/4": 0.25, "1/2": 0.5, "1": 1.0, "2": 2.0, "4": 4.0, "8": 8.0}
_LEAST_RESISTANCE = 1.0  # [ohm], in the middle of the slider where the cell has less
_HIGHEST_FREQUENCY = 50e6  # [Hz]
_DOTS_PER_INCH = 80


def explorer(
    cell: LowSideCell,
    *,
    frequency: float | str = "20 kHz",
    duty: float | str = 0.5,
    limits: Limits | None = None,
) -> Explorer:
    """Sliders for frequency, duty, gate resistance and strength of the driver, with verdict and pictures.

    To be the last line of a notebook's cell. Needs ipywidgets: ``pip install "gateswing[notebook]"``.

    Args:
        cell: the circuit to start from; a half bridge has no sliders.
        frequency: to start from [Hz].
        duty: to start from.
        limits: that the verdict is about; left out: the ratings of the MOSFET and what is always judged.

    Raises:
        ImportError: ipywidgets is not installed.
        InputError: an argument is out of range.
    """
    require_model("cell", cell, LowSideCell, "For a half bridge there is quick_check, in a loop of your own.")
    operation = Operation(frequency=frequency, duty=duty)
    return Explorer(Design(cell=cell, operation=operation, limits=limits or Limits()))


class Explorer:
    """What :func:`explorer` shows.

    Attributes:
        sliders: ``frequency`` [Hz], ``duty``, ``gate_resistance`` [ohm] and ``driver_strength``, a multiple
            of the given driver's. Each has a ``value``, which may be set in a program too.
        widget: sliders and answer together, for a layout of your own.
        verdict: of :func:`quick_check` on the design of now; ``None`` where it is refused.
    """

    verdict: Verdict | None

    def __init__(self, design: Design) -> None:
        try:
            import ipywidgets
        except ImportError:
            raise ImportError('sliders need ipywidgets: pip install "gateswing[notebook]"') from None
        # Matplotlib is loaded here and not with the package.
        from ..plot.overview import MovingOverview

        self._start = design
        self._overview = MovingOverview(_DOTS_PER_INCH)
        self.sliders: Mapping[str, ipywidgets.Widget] = _sliders(ipywidgets, design)
        self._text, self._picture = ipywidgets.HTML(), ipywidgets.HTML()
        self.widget = ipywidgets.VBox([*self.sliders.values(), self._picture, self._text])
        for slider in self.sliders.values():
            slider.observe(self._refresh, names="value")
        self._refresh()

    @property
    def design(self) -> Design:
        """The design that the sliders stand at.

        Raises:
            InputError: it cannot be.
        """
        at = {name: slider.value for name, slider in self.sliders.items()}
        strength = at.pop("driver_strength")
        changes = {
            "operation.frequency": at["frequency"],
            "operation.duty": at["duty"],
            "cell.gate_resistance": at["gate_resistance"],
        }
        if strength != 1.0:
            changes["cell.driver"] = self._start.cell.driver.push_pull().stronger(strength)
        return self._start.replace(changes)

    def _refresh(self, _change: object = None) -> None:
        try:
            self.verdict = quick_check(self.design)
        except InputError as error:
            self.verdict = None
            self._text.value, self._picture.value = f"<pre>{html.escape(str(error))}</pre>", ""
            return
        self._text.value = _text(self.verdict)
        self._picture.value = _picture(self.verdict, self._overview)

    def _repr_mimebundle_(self, **options: Any) -> Any:
        return self.widget._repr_mimebundle_(**options)


def _sliders(ipywidgets: Any, design: Design) -> dict[str, Any]:
    frequency, duty = design.operation.frequency, design.operation.duty
    highest = min(frequency * _FREQUENCIES, _HIGHEST_FREQUENCY)
    own = design.cell.gate_resistance
    middle = max(own, _LEAST_RESISTANCE)
    tried = preferred_values("E12", middle / _RESISTANCES, middle * _RESISTANCES)
    resistances = {format_figure(value, "ohm"): value for value in np.unique([*tried, own]).tolist()}
    layout = {"style": {"description_width": "9em"}, "layout": {"width": "34em"}}
    return {
        "frequency": ipywidgets.FloatLogSlider(
            value=frequency,
            **_steps(np.log10(frequency), np.log10(frequency / _FREQUENCIES), np.log10(highest), 0.001),
            description="frequency (Hz)",
            readout_format=".3s",
            **layout,
        ),
        "duty": ipywidgets.FloatSlider(
            value=duty,
            **_steps(duty, 0.01, 0.99, 0.01),
            description="duty",
            readout_format=".0%",
            **layout,
        ),
        "gate_resistance": ipywidgets.SelectionSlider(
            value=own, options=list(resistances.items()), description="gate resistance", **layout
        ),
        "driver_strength": ipywidgets.SelectionSlider(
            value=1.0, options=list(_STRENGTHS.items()), description="driver strength", **layout
        ),
    }


def _steps(start: float, low: float, high: float, step: float) -> dict[str, float]:
    """Ends and step of a slider whose steps meet where it starts; else the page moves it to one by itself."""
    below, above = max(0, int((start - low) / step)), max(0, int((high - start) / step))
    return {"min": start - below * step, "max": start + above * step, "step": step}


def _text(verdict: Verdict) -> str:
    """Verdict, and what is unusual or dangerous, as HTML."""
    lines = [
        *(f"Unusual: {one.path}: {one.message}" for one in verdict.warnings),
        *(f"Caution: {one.message}" for one in verdict.cautions),
    ]
    return verdict._repr_html_() + "".join(f"<p>{html.escape(line)}</p>" for line in lines)


def _picture(verdict: Verdict, overview: MovingOverview) -> str:
    """Edges and losses as an image within HTML; empty where there is no answer."""
    if not verdict.point.succeeded:
        return ""
    from PIL import Image

    with io.BytesIO() as file:
        # A page on the same machine: time to pack counts more than bytes.
        image = Image.fromarray(overview.pixels(verdict.point)).convert("RGB")
        image.save(file, format="png", compress_level=1)
        data = base64.b64encode(file.getvalue()).decode("ascii")
    alternative = html.escape(f"Both edges and the losses by cause. {verdict.sentence()}", quote=True)
    return f'<img alt="{alternative}" style="max-width:100%" src="data:image/png;base64,{data}">'
