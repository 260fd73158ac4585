"""What a comparison looks at: a waveform, its figures, and how well its simulation kept its books."""

from __future__ import annotations

import dataclasses
import hashlib
import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from .. import _core
from ..document import table_of
from ..errors import InputError, InputProblem
from ..figures import Figures
from ..measurement.edges import MeasuredTurnOff, MeasuredTurnOn, measure_edges
from ..measurement.quiet import quieted, rms
from ..studies.results import DoublePulse
from ..waveforms.waveform import Waveform
from .after_edge import Figure, figures_after

__all__ = ["Part", "Record", "record_of"]

_NOISES = 3.0  # standard deviations of what is left of the noise, below which no half cycle of a ring counts
# Of measured edges, which tell of the same ring as the figures of v_DS after the edge.
_RING = ("ring_frequency", "ring_decay_time", "ring_quality")

Edges = tuple[MeasuredTurnOn | MeasuredTurnOff, ...]


class Part(NamedTuple):
    """A stretch of time between events.

    Attributes:
        name: edge and part, such as ``turn-on 1, delay``.
        begin, end: [s].
    """

    name: str
    begin: float
    end: float


@dataclass(frozen=True)
class Record:
    """A waveform with all that is compared besides its shape.

    Attributes:
        waveform: the shape, without most of the noise where it consists of noisy samples.
        figures: by name, those of the edges, and of each channel extremes, ring and settled level after each
            edge.
        parts: delay, edge and what follows, of each edge; the whole where there are no edges.
        transition: shortest of v_DS [s]; 0 where there is none.
        residuals: of energy and charge, where a simulation states them.
        settings: what the waveform was made with.
    """

    waveform: Waveform
    figures: Mapping[str, Figure]
    parts: tuple[Part, ...]
    transition: float
    residuals: Mapping[str, float] = field(default_factory=dict)
    settings: Mapping[str, str] = field(default_factory=dict)

    def channel_of(self, figure: str) -> str | None:
        """Whose figure it is; ``None`` for one of an edge. Names of channels may have dots."""
        owners = [name for name in self.waveform.units if figure.startswith(f"{name}.")]
        return max(owners, key=len, default=None)

    def reduced(self, channels: Sequence[str] | None, settings: Mapping[str, str]) -> Record:
        """The same of these channels alone, with further settings.

        Raises:
            InputError: there is no such channel.
        """
        names = _chosen(self.waveform, channels)
        figures = {
            name: figure
            for name, figure in self.figures.items()
            if (owner := self.channel_of(name)) is None or owner in names
        }
        kept = _only(self.waveform, names)
        return dataclasses.replace(
            self, waveform=kept, figures=figures, settings={**self.settings, **settings}
        )


def record_of(
    source: DoublePulse | Waveform | Record,
    channels: Sequence[str] | None = None,
    settings: Mapping[str, object] | None = None,
) -> Record:
    """Read everything that is compared.

    Args:
        source: an answer of :func:`gateswing.double_pulse`, a waveform, or a record of which less is wanted.
        channels: that count; left out: all.
        settings: what the waveform was made with, for the header of a reference.

    Raises:
        InputError: there is no such channel, or the simulation did not finish.
    """
    stated = {key: str(value) for key, value in (settings or {}).items()}
    if isinstance(source, Record):
        return source.reduced(channels, stated)
    waveform = source.waveform if isinstance(source, DoublePulse) else source
    names = _chosen(waveform, channels)
    edges = _edges(waveform)
    figures: dict[str, Figure] = {}
    residuals: dict[str, float] = {}
    if isinstance(source, DoublePulse):
        if not source.succeeded:
            raise InputError([InputProblem("status", repr(source.status), source.message)])
        figures |= _figures_of("turn_on", source.turn_on) | _figures_of("turn_off", source.turn_off)
        residuals = {"energy": source.energy_residual, "charge": source.charge_residual}
        tables = json.dumps(table_of(source.cell), sort_keys=True)
        stated["cell (SHA-256)"] = hashlib.sha256(tables.encode()).hexdigest()[:16]
    else:
        for index, edge in enumerate(edges):
            of_edge = _figures_of(f"{_kind(edge)}_{index}", edge)
            figures |= {name: one for name, one in of_edge.items() if not name.endswith(_RING)}
    quiet = quieted(waveform, names)
    for name in names:
        figures |= _extremes(quiet.waveform, name)
        left = _NOISES * rms(quiet.deviations[name]) if name in quiet.deviations else 0.0
        for index, edge in enumerate(edges):
            figures |= figures_after(quiet.waveform, name, index, (edge.drain_end, edge.end), left)
    transitions = [edge.drain_end - edge.drain_begin for edge in edges]
    transition = min((one for one in transitions if not math.isnan(one)), default=0.0)
    kept = _only(quiet.waveform, names)
    return Record(kept, figures, _parts(waveform, edges), transition, residuals, stated)


def _chosen(waveform: Waveform, channels: Sequence[str] | None) -> list[str]:
    names = list(waveform.units) if channels is None else list(channels)
    unknown = [name for name in names if name not in waveform.units]
    if unknown or not names:
        known = ", ".join(waveform.units)
        raise InputError([InputProblem("channels", ", ".join(unknown) or None, "no such channel.", known)])
    return names


def _only(waveform: Waveform, names: list[str]) -> Waveform:
    if names == list(waveform.units):
        return waveform
    core = waveform.core
    channels = [channel for name in names for channel in core.channels if channel.name == name]
    columns = [core.values(name) for name in names]
    return Waveform(_core.Waveform.from_nodes(channels, core.degree, core.times, columns))


def _edges(waveform: Waveform) -> Edges:
    if not {"v_gs_pin", "v_ds_pin"} <= set(waveform.units):
        return ()
    return measure_edges(waveform)


def _kind(edge: MeasuredTurnOn | MeasuredTurnOff) -> str:
    return "turn_on" if isinstance(edge, MeasuredTurnOn) else "turn_off"


def _figures_of(prefix: str, figures: Figures) -> dict[str, Figure]:
    units = figures.units()
    return {f"{prefix}.{name}": Figure(value, units[name]) for name, value in figures.values().items()}


def _extremes(waveform: Waveform, channel: str) -> dict[str, Figure]:
    unit = waveform.units[channel]
    window = _core.whole(waveform.core)
    found = {}
    for name, one in (
        ("maximum", _core.maximum(waveform.core, channel, window)),
        ("minimum", _core.minimum(waveform.core, channel, window)),
    ):
        found[f"{channel}.{name}"] = Figure(one.value, unit)
        found[f"{channel}.{name}_time"] = Figure(one.time, "s")
    return found


def _parts(waveform: Waveform, edges: Edges) -> tuple[Part, ...]:
    parts = []
    for index, edge in enumerate(edges):
        if math.isnan(edge.drain_begin):
            parts.append(Part(f"edge {index}", edge.begin, edge.end))
            continue
        title = f"{_kind(edge).replace('_', '-')} {index}"
        parts += [
            Part(f"{title}, delay", edge.begin, edge.drain_begin),
            Part(f"{title}, edge", edge.drain_begin, edge.drain_end),
            Part(f"{title}, after", edge.drain_end, edge.end),
        ]
    return tuple(parts) or (Part("whole", waveform.begin, waveform.end),)
