"""A simulated voltage as a probe and an oscilloscope would show it.

    v(node) -> [ground lead L, damping R, probe C] -> [bandwidth] -> shown

The loop of ground lead and probe is a series R-L-C; the instrument sees the voltage of its C,

    H1(s) = 1/(1 + s R C + s^2 L C),     f0 = 1/(2 pi sqrt(L C)),     Q = sqrt(L/C)/R.

Probe and oscilloscope together have a bandwidth B at -3 dB and one of two responses:

    first order   H2(s) = 1/(1 + s/(2 pi B))                     rise time ln(9)/(2 pi B)  = 0.350/B
    gaussian      H2(f) = exp(-(ln 2)/2 (f/B)^2), no delay       rise time 0.339/B

0.339 = 2 * 1.28155 * sqrt(ln 2)/(2 pi), from the quantiles of the normal distribution at 10 % and 90 %
(derived). Flat responses of fast oscilloscopes lie nearer to 0.45/B (common practice, no source) and are
neither. What loads the circuit is not in `seen`: for that, simulate the cell of `loaded`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

import numpy as np
from numpy.typing import NDArray

from ..circuit.cell import LowSideCell
from ..errors import InputError, InputProblem, InputWarning, issue
from ..figures import format_figure
from ..model import Model, Quantity, argument, at_least, positive
from ..waveforms.crossings import span_of
from ..waveforms.waveform import Waveform

__all__ = ["Probe", "RingJudgement", "through"]

Floats = NDArray[np.float64]

_FREQUENCY = Quantity("Hz", "Frequency of a ring.", allowed=positive(1e12))
_FIRST_ORDER = math.log(9.0) / (2.0 * math.pi)
_SIGMA = math.sqrt(math.log(2.0)) / (2.0 * math.pi)  # of the gaussian impulse response, times bandwidth
_GAUSSIAN = 2.0 * 1.2815515655446004 * _SIGMA
_POINTS = 40  # samples in a rise time, and in a radian of the resonance 40/(2 pi)
_MOST_POINTS = 5_000_000
_FAST_ENOUGH = 3.0  # edge over rise time of the instrument: shown 5 % too slow (root of the sum of squares)
_NEAR = 0.25  # of the probe's resonance; common practice, no source
_HALF_POWER = math.sqrt(0.5)  # of the amplitude, at the bandwidth
_HIDDEN = 0.5  # gain below which a ring is shown at less than half its size


@dataclass(frozen=True)
class RingJudgement:
    """Whether a ring on the screen is one of the circuit.

    Attributes:
        verdict: ``probe``, ``hidden`` (beyond the instrument) or ``circuit``.
        gain: shown over true amplitude at that frequency.
        reason: in a sentence or two.
    """

    verdict: Literal["probe", "hidden", "circuit"]
    gain: float
    reason: str

    def __repr__(self) -> str:
        return f"{self.verdict}: {self.reason}"


class Probe(Model):
    """A passive probe with its ground lead, and the oscilloscope behind it."""

    bandwidth: Annotated[
        float,
        Quantity(
            "Hz", "At -3 dB, of probe and oscilloscope together.",
            allowed=at_least(1e3, 1e12), usual=at_least(1e6, 2e10),
        ),
    ]  # fmt: skip
    response: Literal["gaussian", "first order"] = "gaussian"
    capacitance: Annotated[
        float, Quantity("F", "At the tip.", allowed=at_least(0.0, 1e-9), usual=at_least(0.1e-12, 150e-12))
    ] = 0.0
    ground_lead_inductance: Annotated[
        float,
        Quantity(
            "H", "Of ground lead and tip; about 1 nH for each mm (common practice, no source).",
            allowed=at_least(0.0, 10e-6), usual=at_least(0.5e-9, 500e-9),
        ),
    ] = 0.0  # fmt: skip
    damping_resistance: Annotated[
        float, Quantity("ohm", "In that loop: probe tip and node.", allowed=positive(1e4))
    ] = 20.0

    @property
    def rise_time(self) -> float:
        """10 % to 90 % of a step, by bandwidth and response alone [s]."""
        return (_GAUSSIAN if self.response == "gaussian" else _FIRST_ORDER) / self.bandwidth

    @property
    def resonance(self) -> float:
        """Of ground lead and capacitance [Hz]; infinite without either."""
        product = self.ground_lead_inductance * self.capacitance
        return 1.0 / (2.0 * math.pi * math.sqrt(product)) if product else math.inf

    @property
    def quality(self) -> float:
        """Q of that resonance; 0 without it."""
        if not self.capacitance:
            return 0.0
        return math.sqrt(self.ground_lead_inductance / self.capacitance) / self.damping_resistance

    def gain(self, frequency: float | str) -> float:
        """Shown over true amplitude of a sine [Hz]."""
        f = argument("frequency", frequency, _FREQUENCY)
        s = 2j * math.pi * f
        tip = 1.0 / abs(
            1.0 + s * self.damping_resistance * self.capacitance
            + s * s * self.ground_lead_inductance * self.capacitance
        )  # fmt: skip
        ratio = f / self.bandwidth
        if self.response == "gaussian":
            return tip * math.exp(-0.5 * math.log(2.0) * ratio**2)
        return tip / math.hypot(1.0, ratio)

    def seen(self, waveform: Waveform, channels: Sequence[str] | None = None) -> Waveform:
        """The waveform as shown. Loading of the circuit is not in it; see :meth:`loaded`.

        Args:
            waveform: of a result.
            channels: seen through this probe; left out: all voltages. The others stay as they are.

        Returns:
            All channels at even times, straight lines in between. Before its begin the waveform is taken to
            have stood still.

        Raises:
            InputError: there is no such channel, or the record is too long for this bandwidth.
        """
        wanted = self._channels(waveform, channels)
        times, step = self._times(waveform)
        issue(self.warnings(waveform, wanted))
        values = {}
        for name in waveform.units:
            true = waveform.value(name, times)
            values[name] = self.filtered(true, step) if name in wanted else true
        return Waveform.from_samples(times, values, waveform.units)

    def warnings(self, waveform: Waveform, channels: Sequence[str] | None = None) -> list[InputWarning]:
        """One for each channel that moves faster than this probe can show within 5 %."""
        found = []
        for name in self._channels(waveform, channels):
            edge = _fastest_edge(waveform, name)
            if edge >= _FAST_ENOUGH * self.rise_time:
                continue
            shown = format_figure(math.hypot(edge, self.rise_time), "s", 2)
            message = (
                f"its fastest edge takes about {format_figure(edge, 's', 2)}, the probe "
                f"{format_figure(self.rise_time, 's', 2)} by itself: shown as about {shown}."
            )
            found.append(InputWarning(name, message))
        return found

    def judge_ring(self, frequency: float | str) -> RingJudgement:
        """Whether a ring at this frequency [Hz] on the screen is one of the circuit."""
        f = argument("frequency", frequency, _FREQUENCY)
        gain = self.gain(f)
        shown, own = format_figure(f, "Hz", 3), format_figure(self.resonance, "Hz", 3)
        if math.isfinite(self.resonance) and abs(f - self.resonance) <= _NEAR * self.resonance:
            reason = (
                f"{shown} is near {own}, where ground lead and probe ring by themselves. "
                "Shorten the lead: if the ring moves, it is the probe's."
            )
            return RingJudgement("probe", gain, reason)
        if gain < _HIDDEN:
            reason = f"at {shown} the instrument shows {100 * gain:.0f} % of the amplitude."
            return RingJudgement("hidden", gain, reason)
        away = "" if math.isinf(self.resonance) else f", away from the probe's own {own}"
        where = "within" if gain > _HALF_POWER else "beyond"
        bandwidth = f"{shown} is {where} the instrument's bandwidth{away}"
        reason = f"{bandwidth}; it shows {100 * gain:.0f} % of the amplitude."
        return RingJudgement("circuit", gain, reason)

    def loaded(self, cell: LowSideCell, channel: str = "v_ds_pin") -> LowSideCell:
        """The cell with the probe's capacitance hung to it, at the die.

        Args:
            cell: without the probe.
            channel: where the probe is: ``v_ds_pin``, ``v_ds``, ``v_gs_pin`` or ``v_gs``.

        Raises:
            InputError: another channel.
        """
        mosfet = cell.mosfet
        if channel in ("v_ds", "v_ds_pin"):
            floor = mosfet.drain_source_capacitance.floor + self.capacitance
            return cell.replace({"mosfet.drain_source_capacitance.floor": floor})
        if channel in ("v_gs", "v_gs_pin"):
            law = mosfet.gate_source_capacitance
            ends = {"low": law.low + self.capacitance, "high": law.high + self.capacitance}
            return cell.replace(
                {f"mosfet.gate_source_capacitance.{end}": value for end, value in ends.items()}
            )
        allowed = "v_ds, v_ds_pin, v_gs, v_gs_pin"
        raise InputError([InputProblem("channel", repr(channel), "cannot be loaded.", allowed)])

    def _channels(self, waveform: Waveform, channels: Sequence[str] | None) -> list[str]:
        if channels is None:
            return [name for name, unit in waveform.units.items() if unit == "V"]
        unknown = [name for name in channels if name not in waveform.units]
        if unknown:
            known = ", ".join(waveform.units)
            raise InputError(
                [InputProblem("channels", repr(name), "no such channel.", known) for name in unknown]
            )
        return list(channels)

    def _times(self, waveform: Waveform) -> tuple[Floats, float]:
        step = min(self.rise_time, 1.0 / self.resonance if self.resonance < math.inf else math.inf) / _POINTS
        count = math.ceil((waveform.end - waveform.begin) / step) + 1
        if count > _MOST_POINTS:
            reason = f"{count} samples would be needed."
            raise InputError(
                [InputProblem("waveform", None, reason, f"up to {_MOST_POINTS}", "Show a part of it.")]
            )
        times = np.linspace(waveform.begin, waveform.end, max(count, 3))
        return times, float(times[1] - times[0])

    def filtered(self, values: Floats, step: float) -> Floats:
        """Samples of a voltage, `step` [s] apart, as shown, if it stood still before the first."""
        from scipy.ndimage import gaussian_filter1d  # type: ignore[import-untyped]

        r, c, inductance = self.damping_resistance, self.capacitance, self.ground_lead_inductance
        if c:
            values = through(values, [inductance * c, r * c, 1.0], step)
        if self.response == "first order":
            return through(values, [1.0 / (2.0 * math.pi * self.bandwidth), 1.0], step)
        width = _SIGMA / self.bandwidth / step
        return np.asarray(gaussian_filter1d(values, width, mode="nearest", truncate=6.0))


def through(values: Floats, denominator: list[float], step: float) -> Floats:
    """Samples through 1/denominator(s), exact for straight lines between them, from rest at the first."""
    from scipy.signal import cont2discrete, lfilter, lfilter_zi  # type: ignore[import-untyped]

    while denominator[0] == 0.0:
        denominator = denominator[1:]
    above, below, _ = cont2discrete(([1.0], denominator), step, method="foh")
    above = above.ravel()
    rest = lfilter_zi(above, below) * values[0]
    return np.asarray(lfilter(above, below, values, zi=rest)[0])


def _fastest_edge(waveform: Waveform, channel: str) -> float:
    """10 % to 90 % of the swing at the steepest slope [s]; infinite for a channel at rest."""
    from .. import _core

    slope = abs(_core.steepest_slope(waveform.core, channel, _core.whole(waveform.core)).value)
    return 0.8 * span_of(waveform, channel) / slope if slope > 0.0 else math.inf
