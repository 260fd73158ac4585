"""Cells of fixed seeds, and captures of them with noise, steps, gains, offsets and skews."""

from typing import NamedTuple

import numpy as np

import gateswing as gs
from gateswing.studies.asking import quiet_double_pulse

CHANNELS = ("v_gs_pin", "v_ds_pin", "i_d")
BOUNDS = {
    "loop_inductance": ("2 nH", "100 nH"),
    "driver.source_resistance": ("0.4 ohm", "40 ohm"),
    "driver.sink_resistance": ("0.3 ohm", "20 ohm"),
}
# Taken in turn as the fourth unknown.
FOURTH = (
    ("common_source_inductance", ("0.1 nH", "6 nH")),
    ("mosfet.gate_drain_capacitance", (0.4, 2.5)),
)


class Case(NamedTuple):
    """A cell, what an instrument shows of it, and what is known beforehand."""

    cell: gs.LowSideCell
    guess: gs.LowSideCell
    current: float
    unknowns: dict[str, tuple[str | float, str | float]]
    shown: gs.Waveform
    capture: gs.Capture
    probe: gs.Probe
    delays: dict[str, float]
    interval: float
    on_voltage: float

    def true(self, path: str) -> float:
        if path == "current":
            return self.current
        value = self.cell.value_at(path)
        if isinstance(value, gs.DepletionCapacitance):
            return value.zero_bias / self.guess.mosfet.gate_drain_capacitance.zero_bias
        return float(value)


def log_uniform(rng: np.random.Generator, low: float, high: float) -> float:
    return float(np.exp(rng.uniform(np.log(low), np.log(high))))


def drawn_cells(
    base: gs.LowSideCell, fourth: str, rng: np.random.Generator
) -> tuple[gs.LowSideCell, gs.LowSideCell]:
    """The cell, and what is thought of it: each unknown off by up to a factor of two."""
    common = {
        "gate_resistance": log_uniform(rng, 3.0, 15.0),
        "bus.voltage": log_uniform(rng, 24.0, 60.0),
        "snubber": base.snubber if rng.random() < 0.5 else None,
    }
    known = base.replace(common)
    truth = {
        "loop_inductance": log_uniform(rng, 6e-9, 40e-9),
        "driver.source_resistance": log_uniform(rng, 1.5, 10.0),
        "driver.sink_resistance": log_uniform(rng, 1.0, 6.0),
        "common_source_inductance": log_uniform(rng, 0.3e-9, 2e-9),
    }
    if fourth == "mosfet.gate_drain_capacitance":
        factor = log_uniform(rng, 0.7, 1.4)
        law = base.mosfet.gate_drain_capacitance
        for name in ("zero_bias", "floor", "ceiling"):
            truth[f"{fourth}.{name}"] = factor * getattr(law, name)
    else:
        known = known.replace(common_source_inductance=1e-9)
    guess = known.replace({path: truth[path] * log_uniform(rng, 0.5, 2.0) for path in BOUNDS})
    if fourth == "mosfet.gate_drain_capacitance":
        guess = guess.replace(common_source_inductance=truth["common_source_inductance"])
    return known.replace(truth), guess


def taken(
    shown: gs.Waveform, noise: float, interval: float, delays: dict[str, float], rng: np.random.Generator
) -> gs.Capture:
    """By a converter of 8 bits over 1.25 times each range, with a gain and an offset of up to 1 % each."""
    times = np.arange(shown.begin + 3e-9, shown.end - 3e-9, interval)
    values = {}
    for name in CHANNELS:
        span = float(np.ptp(shown.values(name)))
        one = rng.uniform(0.99, 1.01) * shown.value(name, times - delays.get(name, 0.0))
        one += span * (rng.uniform(-0.01, 0.01) + noise * rng.standard_normal(len(times)))
        step = 1.25 * span / 2**8
        values[name] = step * np.round(one / step)
    units = {name: shown.units[name] for name in CHANNELS}
    return gs.Capture(times, values, units, (0,), {}, gs.ImportReport((), ()))


def drawn(base: gs.LowSideCell, case: int) -> Case:
    rng = np.random.default_rng([7, case])
    fourth, bounds = FOURTH[case % 2]
    cell, guess = drawn_cells(base, fourth, rng)
    current = float(rng.uniform(4.0, 12.0))
    edges = quiet_double_pulse(cell, current=current, on_time="300 ns", off_time="250 ns")
    assert edges.succeeded, edges.message
    probe = gs.Probe(bandwidth=log_uniform(rng, 100e6, 500e6))
    shown = probe.seen(edges.waveform, CHANNELS)
    noise, interval = log_uniform(rng, 1e-3, 3e-2), float(rng.choice([0.2e-9, 0.4e-9, 0.8e-9]))
    delays = {name: float(rng.uniform(-2e-9, 2e-9)) for name in ("v_gs_pin", "i_d")}
    capture = taken(shown, noise, interval, delays, rng)
    # The ring of the turn-on is still in it, so its mean is weighted.
    weights = np.hanning(181)
    at_rest = edges.waveform.value("v_ds_pin", np.linspace(110e-9, 290e-9, 181))
    on_voltage = float(weights @ at_rest / weights.sum())
    return Case(
        cell, guess, current, {**BOUNDS, fourth: bounds}, shown, capture, probe, delays, interval,
        on_voltage,
    )  # fmt: skip
