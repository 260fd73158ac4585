"""Answers of the studies: small immutable objects that print as tables."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

from ..circuit.cell import LowSideCell
from ..errors import InputWarning
from ..figures import Figures, Meaning, format_figure
from ..model import Model
from ..pickled import PickledFields
from ..tables import html_table, text_table
from ..waveforms.waveform import Waveform
from .edges import TurnOff, TurnOn

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from ..hand_formulas.listing import Explanation, HandFormulas

__all__ = [
    "Answer",
    "CauseLoss",
    "DoublePulse",
    "LedgerEntry",
    "OperatingFigures",
    "OperatingPoint",
    "Statistics",
    "SteadyAnswer",
]

# Share of the largest loss below which a loss is not worth a line of its own.
SMALL_LOSS = 0.005
# Figures of the edges that belong beside an operating point; the edges have more.
_EDGE_FIGURES = frozenset(
    {"delay", "rise time", "fall time", "energy", "maximum voltage slope", "peak driver current"}
)


@dataclass(frozen=True)
class LedgerEntry:
    """What one element did with energy.

    Attributes:
        name: the element.
        kind: ``delivered``, ``dissipated`` or ``stored``.
        energy: delivered, turned into heat, or added to what is stored, over the run [J].
        power: its mean [W]; NaN where the run has no period.
    """

    name: str
    kind: str
    energy: float
    power: float


@dataclass(frozen=True)
class CauseLoss:
    """What one element lost for one cause in a period.

    Attributes:
        cause: ``conduction``, ``turn-on``, ``turn-off``, ``output capacitance``, ``recovery``,
            ``freewheel conduction``, ``reverse conduction`` (body diode), ``shoot-through``, ``leakage`` (a
            low-side switch's body diode that blocks), ``avalanche``, ``gate``, ``driver at rest``,
            ``snubber``, ``clamp``, ``wiring``, ``output filter``, or ``incomplete switching`` for a switch
            that does not reach both of its levels. The channel's heat
            is sorted by time and by where its current comes from, as `loss_causes.h` and, for a half bridge,
            `bridge_losses.h` say; common practice without a standard.
        element: the element that gets warm.
        energy: over the period [J].
        power: its mean [W].
    """

    cause: str
    element: str
    energy: float
    power: float


@dataclass(frozen=True)
class Statistics:
    """Work done by the integrator: accepted steps and rejected attempts."""

    steps: int
    rejections: int


@dataclass(frozen=True, repr=False)
class Answer(PickledFields):
    """What every study returns besides its figures.

    Attributes:
        cell: the circuit asked about.
        status: ``success``, or why there is no answer that can be relied on.
        message: the same as a sentence.
        ledger: energy by element.
        energy_residual: energy that the ledger cannot account for, as a share of the throughput.
        charge_residual: largest share of a node's charge, held and passed, that its currents do not account
            for.
        stats: work done.
        warnings: what was unusual about the input.
        waveform: voltages [V] and currents [A] over time [s].
    """

    cell: Model
    status: str
    message: str
    ledger: tuple[LedgerEntry, ...]
    energy_residual: float
    charge_residual: float
    stats: Statistics
    warnings: tuple[InputWarning, ...]
    waveform: Waveform

    @property
    def succeeded(self) -> bool:
        """Whether there is an answer."""
        return self.status == "success"

    def sections(self) -> list[tuple[str, list[tuple[str, str, str]]]]:
        """Title and rows (name, value, meaning) of each table; the last says how far to trust the others."""
        return self._sections()

    def _sections(self) -> list[tuple[str, list[tuple[str, str, str]]]]:
        raise NotImplementedError

    def _trust(self) -> list[tuple[str, str, str]]:
        return [
            ("energy residual", f"{self.energy_residual:.1e}", "unaccounted share of the energy throughput"),
            ("charge residual", f"{self.charge_residual:.1e}", "unaccounted share of the charge passed"),
            ("steps", f"{self.stats.steps}", f"and {self.stats.rejections} rejected"),
        ]

    def __repr__(self) -> str:
        head = "" if self.succeeded else f"{self.message}\n\n"
        tables = [f"{title}\n{text_table(rows)}" for title, rows in self._sections()]
        notes = [f"warning: {warning}" for warning in self.warnings]
        return head + "\n\n".join([*tables, *notes])

    def _repr_html_(self) -> str:
        head = "" if self.succeeded else f"<p><strong>{self.message}</strong></p>"
        tables = [html_table(rows, ("figure", "value", "meaning"), title) for title, rows in self._sections()]
        notes = [html_table([(str(warning),)], caption="warning") for warning in self.warnings]
        return head + "".join([*tables, *notes])


@dataclass(frozen=True, repr=False)
class DoublePulse(Answer):
    """One turn-on and one turn-off at a stated load current.

    Attributes:
        current: load current at the turn-off [A].
        on_time: from the command "on", which is time 0, to the command "off" [s].
        off_time: recorded after the command "off" [s].
        turn_on, turn_off: figures of the edges.
    """

    cell: LowSideCell
    current: float
    on_time: float
    off_time: float
    turn_on: TurnOn
    turn_off: TurnOff

    def plot(self) -> Figure:
        """Draw both edges with their named intervals; see :func:`gateswing.plot.plot_edges`."""
        from ..plot import plot_edges

        return plot_edges(self)

    def hand_formulas(self) -> HandFormulas:
        """The figures that have a hand formula, beside the simulated ones.

        Raises:
            SimulationError: the run did not finish.
        """
        from ..hand_formulas.edges import edge_formulas

        return edge_formulas(self)

    def explain(self, name: str) -> Explanation:
        """Definition, equation, values and their sources of one figure, such as ``turn_off_energy``.

        Raises:
            InputError: there is no such figure.
            SimulationError: the run did not finish.
        """
        from ..hand_formulas.edges import edge_values

        return self.hand_formulas().explain(name, edge_values(self))

    def _sections(self) -> list[tuple[str, list[tuple[str, str, str]]]]:
        at = format_figure(self.current, "A")
        return [
            ("Turn-on", self.turn_on.rows()),
            (f"Turn-off at {at}", self.turn_off.rows()),
            ("Trust", self._trust()),
        ]


@dataclass(frozen=True, repr=False)
class SteadyAnswer(Answer):
    """What every study of a steady state returns besides its figures.

    Attributes:
        frequency: [Hz].
        duty: commanded on-time over the period.
        runaway: where ``status`` is ``thermal_runaway``, the name of the temperature without a steady value,
            of those among the figures (of a half bridge behind ``high_`` or ``low_``); else empty.
        causes: the losses sorted by what causes them; they add up to those of the ledger.
        periods: simulated until it repeated itself, those for derivatives included.
        periodicity_residual: estimated distance from the periodic state, of any state divided by its own size
            plus 1 V, 1 A or 1 K.
        corrections: size of each Newton correction on the way to that state, in the same measure.
        largest_multiplier: of what is left of a deviation after a period, in modulus, where one was seen.
        turn_on, turn_off: figures of the edges of the last period.
    """

    frequency: float
    duty: float
    runaway: str
    causes: tuple[CauseLoss, ...]
    periods: int
    periodicity_residual: float
    corrections: tuple[float, ...]
    largest_multiplier: float
    turn_on: TurnOn
    turn_off: TurnOff

    @property
    def losses_by_cause(self) -> dict[str, float]:
        """Mean loss for each cause [W], largest first."""
        return powers_by_cause(self.causes)

    @property
    def losses(self) -> dict[str, float]:
        """Mean loss of each element [W], largest first."""
        raise NotImplementedError

    def edge_sections(self) -> list[tuple[str, list[tuple[str, str, str]]]]:
        """Title and rows of all figures of both edges of the last period."""
        return [("Turn-on", self.turn_on.rows()), ("Turn-off", self.turn_off.rows())]

    def _loss_sections(self, total: float) -> list[tuple[str, list[tuple[str, str, str]]]]:
        return [
            ("Losses by cause", loss_rows(large_losses(self.losses_by_cause), total)),
            ("Losses by element", loss_rows(large_losses(self.losses), total)),
        ]

    def _trust(self) -> list[tuple[str, str, str]]:
        repeated = f"{self.periodicity_residual:.1e}"
        outcome = (
            f"until within {repeated} of periodic"
            if self.succeeded
            else f"{self.status.replace('_', ' ')}, {repeated} away from periodic"
        )
        return [("periods", str(self.periods), outcome), *super()._trust()]


@dataclass(frozen=True, repr=False)
class OperatingFigures(Figures):
    """Figures of a cell that switches periodically, once it repeats itself."""

    input_power: Annotated[float, Meaning("W", "drawn from the bus source and the driver's supply")]
    load_power: Annotated[float, Meaning("W", "delivered to the load")]
    useful_power: Annotated[float, Meaning("W", "of it to a motor's shaft or into LEDs, else all of it")]
    total_loss: Annotated[float, Meaning("W", "heat in everything but the load")]
    efficiency: Annotated[
        float,
        Meaning("%", "of the stage: load power over load power and losses; none where the load gives power"),
    ]
    channel_loss: Annotated[
        float, Meaning("W", "heat in the MOSFET: channel, drift region, body diode, breakdown")
    ]
    driver_loss: Annotated[float, Meaning("W", "heat in the driver's output stage")]
    mean_load_current: Annotated[float, Meaning("A", "over the period")]
    load_current_ripple: Annotated[float, Meaning("A", "highest less lowest load current")]
    peak_drain_current: Annotated[float, Meaning("A", "at the drain pin")]
    peak_drain_voltage: Annotated[float, Meaning("V", "v_DS at the die")]
    overshoot: Annotated[float, Meaning("V", "peak v_DS at the pins above the bus")]
    maximum_gate_voltage: Annotated[float, Meaning("V", "v_GS at the die")]
    minimum_gate_voltage: Annotated[float, Meaning("V", "v_GS at the die")]
    on_share: Annotated[
        float, Meaning("%", "of the period, v_DS below 10 % of the bus, up to the end of the turn-off")
    ]
    transition_share: Annotated[
        float,
        Meaning("%", "of the period, v_DS between 10 % and 90 % of the bus, up to the end of the turn-off"),
    ]
    junction_temperature: Annotated[float, Meaning("K", "of the MOSFET, by its losses and cooling")]
    freewheel_temperature: Annotated[float, Meaning("K", "of the diode, by its losses and cooling")]
    thermal_gain: Annotated[float, Meaning("", "loop gain R_th dP/dT; at 1 the temperature runs away")]


@dataclass(frozen=True, repr=False)
class OperatingPoint(SteadyAnswer, OperatingFigures):
    """A cell switched at one frequency and duty cycle until it repeats itself.

    Attributes:
        frequency: [Hz].
        duty: commanded on-time over the period.
        runaway: where ``status`` is ``thermal_runaway``, the name of the temperature without a steady value,
            of those among the figures (of a half bridge behind ``high_`` or ``low_``); else empty.
        causes: the losses sorted by what causes them; they add up to those of the ledger.
        periods: simulated until it repeated itself, those for derivatives included.
        periodicity_residual: estimated distance from the periodic state, of any state divided by its own size
            plus 1 V, 1 A or 1 K.
        corrections: size of each Newton correction on the way to that state, in the same measure.
        largest_multiplier: of what is left of a deviation after a period, in modulus, where one was seen.
        turn_on, turn_off: figures of the edges of the last period.
    """

    cell: LowSideCell

    @property
    def losses(self) -> dict[str, float]:
        """Mean loss of each element [W], largest first."""
        entries = [
            entry
            for entry in self.ledger
            if entry.kind == "dissipated" and not entry.name.startswith("load ")
        ]
        return {entry.name: entry.power for entry in sorted(entries, key=lambda entry: -entry.power)}

    def plot(self) -> Figure:
        """Draw the losses by cause; see :func:`gateswing.plot.plot_losses`."""
        from ..plot import plot_losses

        return plot_losses(self)

    def hand_formulas(self) -> HandFormulas:
        """The figures that have a hand formula, beside the simulated ones.

        Raises:
            SimulationError: the run did not finish.
        """
        from ..hand_formulas.operation import operation_formulas

        return operation_formulas(self)

    def explain(self, name: str) -> Explanation:
        """Definition, equation, values and their sources of one figure, such as ``gate_drive_power``.

        Raises:
            InputError: there is no such figure.
            SimulationError: the run did not finish.
        """
        return self.hand_formulas().explain(name, self.described())

    def _sections(self) -> list[tuple[str, list[tuple[str, str, str]]]]:
        title = (
            f"Operating point, {format_figure(self.frequency, 'Hz')}, duty {format_figure(self.duty, '%')}"
        )
        edges = [
            (f"{edge} {name}", value, meaning)
            for edge, figures in (("turn-on", self.turn_on), ("turn-off", self.turn_off))
            for name, value, meaning in figures.rows()
            if name in _EDGE_FIGURES
        ]
        return [
            (title, self.rows()),
            ("Edges", edges),
            *self._loss_sections(self.total_loss),
            ("Trust", self._trust()),
        ]


def powers_by_cause(causes: Iterable[CauseLoss]) -> dict[str, float]:
    """Sum over the elements for each cause [W], largest first."""
    powers: dict[str, float] = {}
    for loss in causes:
        powers[loss.cause] = powers.get(loss.cause, 0.0) + loss.power
    return dict(sorted(powers.items(), key=lambda item: -item[1]))


def large_losses(losses: Mapping[str, float]) -> dict[str, float]:
    """Losses [W] with those below half a per cent of the largest, either sign, added up in one entry."""
    smallest = SMALL_LOSS * max(losses.values(), default=0.0)
    large = {name: power for name, power in losses.items() if abs(power) >= smallest and power != 0.0}
    rest = [power for name, power in losses.items() if power != 0.0 and name not in large]
    return large | ({f"{len(rest)} smaller ones": sum(rest)} if any(rest) else {})


def loss_rows(losses: Mapping[str, float], total: float) -> list[tuple[str, str, str]]:
    """Name, loss and share of the total for a table."""
    return [(name, format_figure(power, "W"), _share(power, total)) for name, power in losses.items()]


def _share(part: float, whole: float) -> str:
    return f"{part / whole:.1%} of the total loss" if whole > 0.0 else "-"
