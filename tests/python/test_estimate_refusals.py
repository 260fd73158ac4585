"""What an estimate cannot be made from is said by name."""

import re

import pytest

import gateswing as gs
from drawn_captures import CHANNELS, drawn
from gateswing.studies.asking import quiet_double_pulse

pytestmark = pytest.mark.filterwarnings("ignore::gateswing.InputWarning")


def test_a_probe_of_no_channel_is_refused(cell: gs.LowSideCell) -> None:
    one = drawn(cell, 3)
    probes = {"v_gs_pin": one.probe, "v_ds": one.probe, "v_ds_pn": one.probe}
    with pytest.raises(gs.InputError) as caught:
        gs.estimate(one.cell, one.capture, {"loop_inductance": ("2 nH", "100 nH")}, probe=probes)
    first, second = (str(problem) for problem in caught.value.problems)
    assert first == "probe.v_ds: no channel. Allowed: v_gs_pin, v_ds_pin, i_d."
    assert second.startswith(
        "probe.v_ds_pn: no channel. Allowed: v_gs_pin, v_ds_pin, i_d. Did you mean 'v_ds_pin'"
    )


@pytest.mark.parametrize(
    ("probe", "words"),
    [
        ({"v_gs_pin": "200 MHz"}, "probe.v_gs_pin: not a Probe but of the class str."),
        ({"v_gs_pin": None}, "probe.v_gs_pin: not a Probe but of the class NoneType."),
        ("200 MHz", "probe: not a Probe but of the class str."),
        (200e6, "probe: not a Probe but of the class float."),
    ],
)
def test_what_is_no_probe_is_refused(probe: object, words: str, cell: gs.LowSideCell) -> None:
    one = drawn(cell, 3)
    hint = 'Write it like gs.Probe(bandwidth="200 MHz").'
    with pytest.raises(gs.InputError, match=re.escape(f"{words} {hint}")):
        gs.estimate(one.cell, one.capture, {"loop_inductance": ("2 nH", "100 nH")}, probe=probe)  # type: ignore[arg-type]


def test_what_cannot_be_estimated_is_an_input_error(cell: gs.LowSideCell) -> None:
    one = drawn(cell, 3)
    good = {"loop_inductance": ("2 nH", "100 nH")}
    bare = one.capture.mapped({"v_gs_pin": "v_gs_pin", "drain": "v_ds_pin"})
    swapped = one.capture.mapped({"v_gs_pin": "v_ds_pin", "v_ds_pin": "v_gs_pin"})
    turned = one.capture.mapped({name: gs.Trace(column=name, invert=name == "i_d") for name in CHANNELS})
    pulse = quiet_double_pulse(one.cell, current=one.current).waveform
    whole = "mosfet.gate_drain_capacitance"
    for capture, unknowns, options, words in (
        (one.capture, {}, {}, "no fields"),
        (one.capture, {"loop_inductanse": ("2 nH", "100 nH")}, {}, "Did you mean 'loop_inductance'"),
        (one.capture, {whole: (2.0, 0.5)}, {}, "2 to 0.5: bounds must be above zero and ascend"),
        (one.capture, {"loop_inductance": ("0 nH", "9 nH")}, {}, "0 H to 9 nH: bounds must be above zero"),
        (one.capture, {whole: ("1 pF", "9 pF")}, {}, "A capacitance as a whole has factors: 0.5 to 2."),
        (one.capture, {"mosfet": (1, 2)}, {}, "unknowns.mosfet: is no number. Name a field of it, such as"),
        (one.capture, {"loop_inductance": "9 nH"}, {}, "not a pair of bounds"),
        (one.capture, {"loop_inductance": 9e-9}, {}, "loop_inductance = 9e-09: not a pair of bounds"),
        (one.capture, ["loop_inductance"], {}, "unknowns = ['loop_inductance']: no bounds by path."),
        (one.capture, good, {"starts": 0}, "starts = 0: out of range. Allowed: 1 and more."),
        (one.capture, good, {"gain_error": "200 %"}, "gain_error = '200 %': out of range"),
        (pulse, good, {}, "is a simulation, not samples"),
        (one.capture.between(0.0, "200 ns"), good, {}, "no turn-on with a turn-off"),
        (bare, good, {}, "capture: has no channel 'v_ds_pin'. Allowed: v_gs_pin, drain."),
        (turned, good, {}, "in the on-state: the probe looks inverted"),
        (swapped, good, {}, "v_gs_pin swings by"),
    ):
        with pytest.raises(gs.InputError, match=re.escape(words)):
            gs.estimate(cell, capture, unknowns, **options)  # type: ignore[arg-type]
    for wrong in (1.5, "2", None, True):
        with pytest.raises(gs.InputError, match=rf"starts = {wrong!r}: not a whole number\."):
            gs.estimate(cell, one.capture, good, starts=wrong)  # type: ignore[arg-type]
    two = {"loop_inductanse": ("2 nH", "100 nH"), "gate_resistance": ("9 ohm", "2 ohm")}
    with pytest.raises(gs.InputError, match=r"(?s)loop_inductanse.*gate_resistance"):
        gs.estimate(cell, one.capture, two)
