"""What several test files use."""

import copy
import tomllib
from collections.abc import Callable, Iterator
from importlib import resources
from pathlib import Path
from typing import Any, NamedTuple

import pytest

import gateswing as gs
from gateswing import testing
from gateswing.model import Model, Quantity, models_in

Spoil = Callable[[str, object], dict[str, Any]]


# An invented driver and load of each kind but the example's own.
DRIVERS = tomllib.loads((Path(__file__).parent / "drivers.toml").read_text(encoding="utf-8"))
LOADS = tomllib.loads((Path(__file__).parent / "loads.toml").read_text(encoding="utf-8"))


class FieldOfSchema(NamedTuple):
    """One field: dotted path, owner, name, quantity if it is one, kind of driver or load that has it."""

    path: str
    owner: type[Model]
    name: str
    quantity: Quantity | None
    part_kind: str


def fields(model: type[Model], prefix: str = "", part_kind: str = "") -> Iterator[FieldOfSchema]:
    """Every field of the schema; where a field takes one of several models, those of each."""
    for name, field in model.model_fields.items():
        for below in models_in(field.annotation):
            kind = below.model_fields["kind"].default if "kind" in below.model_fields else part_kind
            yield from fields(below, f"{prefix}{name}.", kind)
        yield FieldOfSchema(f"{prefix}{name}", model, name, model.quantity_of(name), part_kind)


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Run a test once for each field of the design file, so that none is forgotten.

    ``quantity_path`` and ``kind`` go through the quantities, ``required_path`` through what must be there.
    ``part_kind`` makes `spoil` start from a design with that driver or load.
    """
    every = list(fields(gs.Design))
    if "quantity_path" in metafunc.fixturenames:
        found = [(one.path, one.quantity, one.part_kind) for one in every if one.quantity]
        names = [f"{path}-{part_kind}".rstrip("-") for path, _, part_kind in found]
        metafunc.parametrize(("quantity_path", "kind", "part_kind"), found, ids=names)
    if "required_path" in metafunc.fixturenames:
        needed = [
            (one.path, one.part_kind) for one in every if one.owner.model_fields[one.name].is_required()
        ]
        metafunc.parametrize(("required_path", "part_kind"), needed)


@pytest.fixture
def write(tmp_path: Path) -> Callable[..., Path]:
    """Write a capture, as text or as it is, and name its path."""

    def written(content: str | bytes, name: str = "capture.csv") -> Path:
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return path

    return written


@pytest.fixture
def part_kind() -> str:
    """Empty: the example's own driver and load."""
    return ""


@pytest.fixture(scope="session")
def example_path() -> Path:
    """The design file that comes with the package."""
    return Path(str(resources.files("gateswing") / "examples" / "coolant_pump.toml"))


@pytest.fixture(scope="session")
def design(example_path: Path) -> gs.Design:
    """The design of that file."""
    return gs.Design.read(example_path)


@pytest.fixture(scope="session")
def mapping(design: gs.Design) -> dict[str, Any]:
    """The nested tables of that file, with the parts it leaves out added; not to be changed."""
    step = gs.StepCapacitance(low="1 nF", high="10 pF", centre="20 V")
    steps = {f"cell.mosfet.{place}_step": step for place in ("gate_drain", "drain_source")}
    diode = design.cell.freewheel
    zener = {"voltage": "80 V", "resistance": "1 ohm"}
    clamps = {f"cell.{place}_clamp": zener for place in ("drain_source", "drain_gate")}
    rcd = {"cell.rcd_clamp": gs.RcdClamp(diode=diode, resistance="1 kohm", capacitance="10 nF")}
    way = gs.HeatPath(junction_to_case="1.5 K/W", case_to_ambient="10 K/W")
    cooling = {"cell.cooling": gs.Cooling(ambient="40 degC", mosfet=way, freewheel=way)}
    ladder = gs.FosterLadder(resistances=["0.5 K/W", "1 K/W"], time_constants=["100 us", "5 ms"])
    ratings = {"cell.mosfet.thermal_impedance": ladder, "cell.driver_decoupling": {"capacitance": "1 uF"}}
    return design.replace(steps | clamps | rcd | cooling | ratings).to_mapping()


@pytest.fixture
def spoil(mapping: dict[str, Any], part_kind: str) -> Spoil:
    """Make the tables of the example with one field changed, or left out for ``None``."""

    def changed(path: str, value: object) -> dict[str, Any]:
        data = copy.deepcopy(mapping)
        if part_kind in DRIVERS:
            data["cell"]["driver"] = dict(DRIVERS[part_kind])
        if part_kind in LOADS:
            data["cell"]["load"] = dict(LOADS[part_kind])
        if path == "cell.load.constant_current":
            data["cell"]["load"] = {}
        put(data, path, value)
        return data

    return changed


def put(data: dict[str, Any], path: str, value: object) -> None:
    """Set a field deep inside nested tables, or delete it for ``None``."""
    *parts, last = path.split(".")
    for part in parts:
        data = data.setdefault(part, {})
    if value is None:
        del data[last]
    else:
        data[last] = value


@pytest.fixture(scope="session")
def cell(design: gs.Design) -> gs.LowSideCell:
    """The circuit of that file."""
    return design.cell


@pytest.fixture(scope="session")
def quick_cell(cell: gs.LowSideCell) -> gs.LowSideCell:
    """That circuit with a resistive load and without wiring: a point takes a few milliseconds."""
    leads = ("mosfet.gate_inductance", "mosfet.drain_inductance", "mosfet.source_inductance")
    wiring = ("gate_inductance", "loop_inductance", "common_source_inductance")
    left_out = ("snubber", "freewheel", "pull_down_resistance", "turn_off_gate_resistance")
    changes = dict.fromkeys([*leads, *wiring], 0.0) | dict.fromkeys(left_out)
    return cell.replace({"bus": "48 V", "load": gs.Load(resistance="8 ohm")} | changes)


@pytest.fixture(scope="session")
def edges(cell: gs.LowSideCell) -> gs.DoublePulse:
    """Both edges of that circuit."""
    return gs.double_pulse(cell)


@pytest.fixture(scope="session")
def point(design: gs.Design) -> gs.OperatingPoint:
    """The operating point of that design."""
    return gs.operating_point(design.cell, frequency=design.operation.frequency, duty=design.operation.duty)


@pytest.fixture(scope="session")
def example_sheet() -> gs.MosfetSheet:
    """The invented sheet that comes with the package."""
    return gs.read_sheet(str(resources.files("gateswing") / "examples" / "mosfet_sheet.toml"))


@pytest.fixture(scope="session")
def example_fit(example_sheet: gs.MosfetSheet) -> gs.MosfetFit:
    """The model of that sheet."""
    return gs.fit_mosfet(example_sheet)


@pytest.fixture(scope="session")
def irf540() -> gs.MosfetFit:
    """Vishay document 91021; charges are maxima, the threshold limits are from memory."""
    entries = tomllib.loads((Path(__file__).parent / "irf540.toml").read_text(encoding="utf-8"))
    return gs.fit_mosfet(gs.MosfetSheet(**entries))


@pytest.fixture(scope="session")
def buck(cell: gs.LowSideCell) -> gs.HalfBridgeCell:
    """Feeds 1.2 ohm from 48 V by two of the example's MOSFETs, without leads: quick."""
    leads = {f"{lead}_inductance": 0.0 for lead in ("gate", "drain", "source")}
    one = gs.BridgeSwitch(mosfet=cell.mosfet.replace(leads), driver=cell.driver, gate_resistance="4.7 ohm")
    return gs.HalfBridgeCell(
        bus=48.0,
        high=one,
        low=one,
        load=gs.Load(resistance=0.05, inductance=40e-6),
        output=gs.Output(resistance=1.2, capacitance="100 uF", capacitor_resistance="2 mohm"),
        loop_resistance="20 mohm",
    )


@pytest.fixture(scope="session")
def buck_point(buck: gs.HalfBridgeCell) -> gs.HalfBridgePoint:
    return gs.half_bridge_point(buck, frequency="100 kHz", duty=0.3, dead_time="120 ns")


@pytest.fixture
def without_a_screen() -> Iterator[None]:
    """Figures are drawn into memory, and closed."""
    import matplotlib as mpl
    from matplotlib import pyplot as plt

    with mpl.rc_context({"backend": "Agg"}):
        yield
    plt.close("all")


@pytest.fixture(scope="session")
def pulse(cell: gs.LowSideCell) -> gs.DoublePulse:
    """Edges of that circuit, with the times that its reference below states."""
    return gs.double_pulse(cell, on_time="0.6 us", off_time="0.6 us")


@pytest.fixture(scope="session")
def reference(pulse: gs.DoublePulse, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A reference of them at the pins; not to be changed."""
    path = tmp_path_factory.mktemp("references") / "pulse.csv"
    pins = ["v_gs_pin", "v_ds_pin", "i_d"]
    testing.write_reference(pulse, path, reason="a test", channels=pins, settings={"bench": "invented"})
    return path
