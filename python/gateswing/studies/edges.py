"""Figures of a single edge: turn-on and turn-off."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Self

from ..figures import Figures, Meaning

__all__ = ["TurnOff", "TurnOn"]


@dataclass(frozen=True, repr=False)
class Edge(Figures):
    """When an edge happens, on the time axis of its waveform; NaN for an instant that does not exist.

    Attributes:
        begin, end: of the window in which the edge was looked for [s].
        gate_time: v_GS leaves its level, where the delay begins [s].
        drain_begin, drain_end: v_DS begins and ends its transition, the rise or fall time [s].
    """

    begin: float
    end: float
    gate_time: float
    drain_begin: float
    drain_end: float

    @classmethod
    def from_core(cls, core: Any) -> Self:
        """Copy of an edge of the core."""
        names = ("begin", "end", "gate_time", "drain_begin", "drain_end")
        instants = {name: float(getattr(core.instants, name)) for name in names}
        return cls(**instants, **cls.values_in(core))


@dataclass(frozen=True, repr=False)
class TurnOn(Edge):
    """Figures of one turn-on. NaN, printed as a dash: the figure does not exist for this waveform."""

    delay: Annotated[float, Meaning("s", "td(on): 10 % of v_GS to 90 % of v_DS (IEC 60747-8)")]
    rise_time: Annotated[float, Meaning("s", "tr: v_DS from 90 % to 10 % (IEC 60747-8)")]
    energy: Annotated[float, Meaning("J", "Eon: v_DS i_D from 10 % of i_D to 10 % of v_DS (IEC 60747-8)")]
    total_energy: Annotated[float, Meaning("J", "v_DS i_D over the whole record of the edge")]
    channel_heat: Annotated[
        float,
        Meaning("J", "heat in the channel over the same record; C_OSS gives it at turn-on what it took"),
    ]
    peak_drain_current: Annotated[float, Meaning("A", "at the drain pin")]
    peak_gate_voltage: Annotated[float, Meaning("V", "v_GS at the die")]
    peak_gate_voltage_pin: Annotated[float, Meaning("V", "v_GS at the pins")]
    maximum_voltage_slope: Annotated[float, Meaning("V/s", "steepest v_DS at the die between 10 % and 90 %")]
    maximum_current_slope: Annotated[float, Meaning("A/s", "steepest i_D")]
    plateau_voltage: Annotated[float, Meaning("V", "v_GS where it moves least while v_DS falls")]
    gate_charge: Annotated[float, Meaning("C", "charge the gate takes until the record ends")]
    peak_driver_current: Annotated[float, Meaning("A", "largest current out of the driver")]


@dataclass(frozen=True, repr=False)
class TurnOff(Edge):
    """Figures of one turn-off. NaN, printed as a dash: the figure does not exist for this waveform."""

    delay: Annotated[float, Meaning("s", "td(off): 90 % of v_GS to 10 % of v_DS (IEC 60747-8)")]
    fall_time: Annotated[float, Meaning("s", "tf: v_DS from 10 % to 90 % (IEC 60747-8)")]
    energy: Annotated[float, Meaning("J", "Eoff: v_DS i_D from 10 % of v_DS to 10 % of i_D (IEC 60747-8)")]
    total_energy: Annotated[float, Meaning("J", "v_DS i_D over the whole record of the edge")]
    channel_heat: Annotated[
        float,
        Meaning(
            "J", "heat in the channel over the same record; the rest heats the drift region or charges C_OSS"
        ),
    ]
    peak_drain_voltage: Annotated[float, Meaning("V", "v_DS at the die")]
    peak_drain_voltage_pin: Annotated[float, Meaning("V", "v_DS at the pins")]
    overshoot: Annotated[float, Meaning("V", "peak v_DS at the pins above the bus")]
    minimum_gate_voltage: Annotated[float, Meaning("V", "v_GS at the die")]
    minimum_gate_voltage_pin: Annotated[float, Meaning("V", "v_GS at the pins")]
    maximum_voltage_slope: Annotated[float, Meaning("V/s", "steepest v_DS at the die between 10 % and 90 %")]
    maximum_current_slope: Annotated[float, Meaning("A/s", "steepest i_D")]
    plateau_voltage: Annotated[float, Meaning("V", "v_GS where it moves least while v_DS rises")]
    peak_driver_current: Annotated[float, Meaning("A", "largest current into the driver")]
    ring_frequency: Annotated[float, Meaning("Hz", "of v_DS after its peak")]
    ring_decay_time: Annotated[float, Meaning("s", "of the ring's envelope to 1/e")]
    ring_quality: Annotated[float, Meaning("", "Q of the ring")]
