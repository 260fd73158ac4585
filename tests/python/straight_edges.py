"""Waveforms of straight lines, whose figures have closed forms."""

import gateswing as gs


def lines(times: list[float], **values: list[float]) -> gs.Waveform:
    units = {name: "V" if name.startswith("v") else "A" for name in values}
    return gs.Waveform.from_samples(times, values, units)


def hard_edges() -> gs.Waveform:
    """Turn-on: the current rises in 20 ns, then the voltage falls in 30 ns. Turn-off: the other way round."""
    times = [0.0, 100.0, 110.0, 120.0, 140.0, 170.0, 1000.0, 1010.0, 1040.0, 1060.0, 2000.0]
    return lines(
        [1e-9 * t for t in times],
        v_gs_pin=[0, 0, 10, 10, 10, 10, 10, 0, 0, 0, 0],
        v_ds_pin=[400, 400, 400, 400, 400, 0, 0, 0, 400, 400, 400],
        i_d=[0, 0, 0, 0, 20, 20, 20, 20, 20, 0, 0],
    )
