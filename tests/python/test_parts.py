"""Part files, the library of generic parts, and parts named in a design."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from click.testing import CliRunner, Result

import gateswing as gs
from gateswing.circuit.driver import Driver
from gateswing.circuit_checks.sheet import sheet_warnings
from gateswing.cli import main
from gateswing.datasheet import static_figures
from gateswing.datasheet.entries import model_values, sheet_entries
from gateswing.library.part_file import CORNERS, PartFile
from gateswing.library.part_packs import library

FILES = {name: library().read(name) for name in library().sources}
MOSFETS = [name for name, file in FILES.items() if file.kind == "mosfet"]
DIODES = [name for name, file in FILES.items() if file.kind == "diode"]
DRIVERS = [name for name, file in FILES.items() if file.kind == "driver"]

# On-resistance times gate charge at 10 V [ohm C] by voltage class; common practice, no source.
FIGURE_OF_MERIT = {
    30: (40e-12, 0.3e-9),
    60: (0.1e-9, 1.2e-9),
    100: (0.2e-9, 3e-9),
    200: (0.8e-9, 8e-9),
    400: (4e-9, 30e-9),
    650: (3e-9, 60e-9),
}


def mosfet(name: str, corner: str = "typ") -> gs.Mosfet:
    found = gs.part(name, corner=corner)
    assert isinstance(found, gs.Mosfet)
    return found


def figure(name: str, path: str) -> float:
    """A figure of the model under the conditions of the sheet of its class."""
    file = FILES[name]
    assert file.sheet is not None
    return model_values(mosfet(name), file.sheet)[path]


@pytest.mark.parametrize("name", FILES)
def test_a_part_of_the_library_is_honest_and_has_every_corner(name: str) -> None:
    file = FILES[name]
    assert file.source.startswith("Invented: typical values of its class")
    assert len(file.stated) >= 3
    for corner in CORNERS:
        built = file.build(corner)
        assert built.name == file.title
        assert built == gs.part(name, corner=corner)
    assert file.build("min") != file.build() != file.build("max")


@pytest.mark.parametrize("name", MOSFETS)
def test_a_mosfet_has_the_figures_that_its_class_prints(name: str) -> None:
    sheet = FILES[name].sheet
    assert sheet is not None
    found = model_values(mosfet(name), sheet)
    for entry in sheet_entries(sheet):
        assert found[entry.path] == pytest.approx(entry.value, rel=0.02), entry
    assert mosfet(name).breakdown_voltage == sheet.breakdown_voltage
    assert sheet_warnings(sheet) == []


@pytest.mark.parametrize("name", MOSFETS)
def test_the_title_says_voltage_and_resistance(name: str) -> None:
    said = re.match(r"(\d+) V, (\d+) mohm at 10 V, (logic|standard) level", FILES[name].title)
    assert said
    assert mosfet(name).breakdown_voltage == float(said[1])
    assert figure(name, "on_resistance.0.value") == pytest.approx(float(said[2]) * 1e-3, rel=0.01)
    assert name.startswith(f"{said[3]}-{said[1]}V")


@pytest.mark.parametrize("name", MOSFETS)
def test_resistance_times_charge_lies_where_its_class_does(name: str) -> None:
    product = figure(name, "on_resistance.0.value") * figure(name, "gate_charge.total")
    voltage = int(mosfet(name).breakdown_voltage)
    low, high = FIGURE_OF_MERIT[voltage]
    assert low < product < high
    if voltage == 100:
        # IRF540, an old part of 100 V: 77 mohm and 72 nC, both maxima (Vishay document 91021).
        assert product < 77e-3 * 72e-9


@pytest.mark.parametrize(
    "rising",
    [
        ["logic-30V", "logic-60V", "logic-100V"],
        ["standard-30V", "standard-60V", "standard-100V", "standard-200V"],
        ["standard-60V-to220", "standard-100V-to220", "standard-200V-to220", "standard-400V-to220"],
    ],
)
def test_resistance_times_charge_grows_with_the_voltage(rising: list[str]) -> None:
    products = [figure(name, "on_resistance.0.value") * figure(name, "gate_charge.total") for name in rising]
    assert products == sorted(products)


@pytest.mark.parametrize("name", MOSFETS)
def test_a_mosfet_warms_as_silicon_does(name: str) -> None:
    """Ratios: common practice, no source; slopes: data sheets.

    Breakdown: 0.13 V/K of 100 V (IRF540), 0.58 V/K of 500 V (IRF840A). Threshold: -4.5 mV/K (MSC040SMA120J)
    to -7 mV/K (from memory).
    """
    assert 1.4 < figure(name, "on_resistance_ratio.0.value") < 2.2
    fet = mosfet(name)
    cold, hot = (fet.to_core(kelvin).breakdown.knee_voltage for kelvin in (298.15, 398.15))
    assert 0.8e-3 < (hot / cold - 1.0) / 100.0 < 1.3e-3
    slope = figure(name, "threshold.slope")
    assert -9.5e-3 < slope < -4e-3


@pytest.mark.parametrize("name", MOSFETS)
def test_only_a_superjunction_takes_most_of_its_charge_at_low_voltage(name: str) -> None:
    """Published ratios: 3.9 and 3.7 (DocID 027754 and 024837); an abrupt junction has 1.5."""
    fet = mosfet(name)
    voltage = 0.8 * fet.breakdown_voltage
    ratio = float(
        static_figures.time_related_capacitance(fet, voltage)
        / static_figures.energy_related_capacitance(fet, voltage)
    )
    if "superjunction" in FILES[name].title:
        assert 2.5 < ratio < 5.0
    else:
        assert 1.0 < ratio < 1.6


@pytest.mark.parametrize("name", MOSFETS)
def test_a_level_is_what_its_name_says(name: str) -> None:
    """A logic level is driven by 4.5 V, a standard level is not; common practice, no source."""
    fet, current = mosfet(name), 0.5 * FILES[name].sheet.body_diode.current  # type: ignore[union-attr]
    ratio = float(
        static_figures.on_resistance(fet, 4.5, current) / static_figures.on_resistance(fet, 10.0, current)
    )
    plateau = float(static_figures.plateau_voltage(fet, current))
    if name.startswith("logic"):
        assert ratio < 1.9
        assert plateau < 3.6
    else:
        assert not ratio < 1.9 or plateau > 3.5


def pulse(**changes: Any) -> gs.DoublePulse:
    cell = {
        "bus": "12 V",
        "mosfet": "logic-60V",
        "driver": "driver-ic-5V",
        "gate_resistance": "4.7 ohm",
        "load": {"constant_current": "2 A"},
        "freewheel": "schottky-100V",
        "loop_inductance": "15 nH",
    }
    return gs.double_pulse(gs.LowSideCell(**cell | changes))


def assert_switches(edges: gs.DoublePulse) -> None:
    assert edges.succeeded, edges.message
    assert edges.energy_residual < 1e-6
    assert edges.turn_on.total_energy > 0.0
    assert edges.turn_off.fall_time > 0.0


@pytest.mark.parametrize("name", MOSFETS)
@pytest.mark.filterwarnings("ignore:.*on the gate the on-resistance is")
def test_a_mosfet_switches(name: str) -> None:
    voltage = mosfet(name).breakdown_voltage
    edges = pulse(
        mosfet=name,
        bus=0.5 * voltage,
        driver="driver-ic-5V" if name.startswith("logic") else "driver-ic-strong",
        freewheel="schottky-100V" if voltage <= 150 else "ultrafast-600V",
        load={"constant_current": 0.25 * mosfet(name).body_diode.forward_current},
    )
    assert_switches(edges)


@pytest.mark.parametrize("name", DIODES)
def test_a_diode_freewheels(name: str) -> None:
    diode = gs.part(name)
    assert isinstance(diode, gs.Diode)
    edges = pulse(freewheel=name, load={"constant_current": 0.5 * diode.forward_current})
    assert_switches(edges)
    recovers = diode.transit_time > 0.0
    assert recovers == (not name.startswith("schottky"))


@pytest.mark.parametrize("name", DRIVERS)
@pytest.mark.filterwarnings(
    "ignore:.*on the gate the on-resistance is|.*when off; at 125 degC|.*while the pin floats"
)
def test_a_driver_drives(name: str) -> None:
    driver = gs.part(name)
    assert isinstance(driver, Driver)
    weak = driver.supply_voltage < 4.0
    edges = pulse(driver=name, mosfet="logic-30V" if weak else "logic-60V", load={"constant_current": "1 A"})
    assert_switches(edges)


def described(**changes: Any) -> dict[str, Any]:
    """An invented part file with one table per kind of value."""
    return {
        "schema": 1,
        "title": "40 V Schottky diode",
        "source": "invented",
        "diode": {
            "forward_voltage": {"typ": "0.5 V", "min": "0.45 V", "max": 0.56, "condition": "3 A"},
            "forward_current": "3 A",
            "resistance": {"typ": "20 mohm", "max": "30 mohm", "source": "bench"},
            "capacitance": {"zero_bias": {"typ": "400 pF", "min": "300 pF", "max": "500 pF"}},
        },
    } | changes


def test_a_corner_takes_the_limits_that_are_stated() -> None:
    file = PartFile.from_mapping(described())
    typical, low, high = (file.build(corner) for corner in CORNERS)
    assert isinstance(typical, gs.Diode)
    assert isinstance(low, gs.Diode)
    assert isinstance(high, gs.Diode)
    assert [one.forward_voltage for one in (low, typical, high)] == [0.45, 0.5, 0.56]
    assert [one.resistance for one in (low, typical, high)] == [0.02, 0.02, 0.03]
    assert [one.capacitance.zero_bias for one in (low, typical, high)] == [300e-12, 400e-12, 500e-12]
    assert typical.source == "invented"


def test_single_values_go_to_their_corners() -> None:
    file = PartFile.from_mapping(described())
    found = file.build({"capacitance": "max", "resistance": "max"})
    assert found == file.build().replace({"capacitance.zero_bias": 500e-12, "resistance": 0.03})


def test_a_part_file_prints_each_value_with_its_range_and_origin() -> None:
    file = PartFile.from_mapping(described())
    rows = {row[0]: row[1:] for row in file.rows()}
    assert rows["forward_voltage"] == ("500 mV", "450 mV", "560 mV", "3 A", "")
    assert rows["resistance"] == ("20 mohm", "", "30 mohm", "", "bench")
    assert rows["forward_current"] == ("3 A", "", "", "", "")
    assert repr(file).startswith("diode: 40 V Schottky diode\ninvented\n\nvalue ")
    assert "<caption>diode: 40 V Schottky diode" in file._repr_html_()


def test_a_part_file_reads_back_as_written(tmp_path: Path) -> None:
    file = PartFile.from_mapping(described())
    file.write(tmp_path / "part.toml")
    assert PartFile.read(tmp_path / "part.toml") == file


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"schema": 2}, "schema = 2: unknown version"),
        ({"diode": None}, "give exactly one of mosfet, diode, driver; there is none of them"),
        ({"driver": {}}, "there is diode, driver"),
        ({"diode": {"forward_voltage": {"max": 1}}}, r"diode.forward_voltage.typ: missing.*only a limit"),
        (
            {"diode": {"forward_voltage": {"typ": 1, "avg": 2}}},
            "diode.forward_voltage.avg = 2: no such field",
        ),
        ({"diode": {"forward_voltage": {"typ": "1 A"}}}, "diode.forward_voltage = '1 A': has the unit 'A'"),
        ({"diode": {"forward_voltage": "1 V"}}, "diode.capacitance: missing"),
    ],
)
def test_a_part_file_that_cannot_be_used_is_named(change: dict[str, Any], message: str) -> None:
    tables = {name: value for name, value in described(**change).items() if value is not None}
    with pytest.raises(gs.InputError, match=message):
        PartFile.from_mapping(tables)


def test_a_corner_that_is_not_there_is_named() -> None:
    file = PartFile.from_mapping(described())
    with pytest.raises(gs.InputError, match=r"corner = 'worst': no such corner. Allowed: typ, min, max"):
        file.build("worst")
    with pytest.raises(gs.InputError, match=r"'resistance': states no min. Allowed: one of forward_voltage"):
        file.build({"resistance": "min"})


def test_limits_on_the_wrong_side_are_named() -> None:
    tables = described()
    tables["diode"]["resistance"] = {"typ": "20 mohm", "max": "2 mohm"}
    with pytest.raises(gs.InputError, match=r"diode.resistance = typ 20 mohm, max 2 mohm: min, typ, max"):
        PartFile.from_mapping(tables).build("max")


def test_a_design_names_its_parts(design: gs.Design, tmp_path: Path) -> None:
    tables = design.to_mapping()
    tables["cell"] |= {
        "mosfet": {
            "part": "standard-100V",
            "corner": "max",
            "channel": {"threshold_voltage": "3 V"},
            "source": "bench",
        },
        "driver": {"part": "driver-ic-strong", "supply_voltage": "10 V"},
        "freewheel": "schottky-100V",
    }
    (tmp_path / "design.toml").write_text(tomli_w.dumps(tables))
    cell = gs.Design.read(tmp_path / "design.toml").cell
    changes = {"channel.threshold_voltage": 3.0, "source": "bench"}
    assert cell.mosfet == mosfet("standard-100V", "max").replace(changes)
    assert cell.driver == gs.part("driver-ic-strong").replace(supply_voltage=10.0)
    assert cell.freewheel == gs.part("schottky-100V")
    written = gs.Design.from_mapping(gs.read_design(tmp_path / "design.toml").to_mapping())
    assert written.cell == cell


def test_a_part_is_named_wherever_one_is_taken(cell: gs.LowSideCell) -> None:
    assert cell.replace(mosfet="logic-100V").mosfet == mosfet("logic-100V")
    table: dict[str, Any] = {"part": "logic-100V", "drift_resistance": "9 mohm"}
    assert gs.Mosfet(**table) == mosfet("logic-100V").replace(drift_resistance=9e-3)
    assert cell.replace(driver={"part": "pin-5V", "corner": "max"}).driver == gs.part("pin-5V", corner="max")


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"mosfet": "logic-60v"}, r"mosfet = 'logic-60v': no such part. Did you mean 'logic-60V'"),
        ({"mosfet": "pin-5V"}, "mosfet = 'pin-5V': is a driver, not a mosfet"),
        ({"driver": "logic-60V"}, "driver = 'logic-60V': is a mosfet, not a driver"),
        ({"freewheel": {"part": 3}}, "freewheel.part = 3: not the name of a part"),
        ({"mosfet": {"part": "logic-60V", "corner": "hot"}}, "mosfet.corner = 'hot': no such corner"),
        ({"mosfet": {"part": "logic-60V", "drift": 1}}, "mosfet.drift: no such field"),
        ({"mosfet": {"part": "logic-60V", "drift_resistance": "1 V"}}, "mosfet.drift_resistance = '1 V'"),
    ],
)
def test_a_part_that_cannot_be_named_is(cell: gs.LowSideCell, change: dict[str, Any], message: str) -> None:
    with pytest.raises(gs.InputError, match=message):
        cell.replace(change)


def test_the_list_is_a_table() -> None:
    listed = gs.parts()
    assert set(FILES) <= set(listed)
    assert repr(listed).splitlines()[0].split() == ["part", "kind", "title"]
    assert listed._repr_html_().count("<tr>") == len(listed) + 1
    assert set(gs.parts("driver")) == set(DRIVERS)
    with pytest.raises(gs.InputError, match=r"kind = 'fet': no such kind of part. Allowed: mosfet"):
        gs.parts("fet")


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, ["parts", *arguments])


def test_the_command_lists_and_shows_parts() -> None:
    assert "logic-60V " in run().stdout
    listed = {one["name"]: one["kind"] for one in json.loads(run("--json").stdout)["parts"]}
    assert listed["pin-5V"] == "driver"
    assert run("logic-60V").stdout.startswith("mosfet: 60 V, 7 mohm")
    values = {one["path"]: one for one in json.loads(run("pin-5V", "--json").stdout)["values"]}
    assert values["supply_voltage"] == {
        "path": "supply_voltage", "unit": "V", "typ": 5.0, "min": 4.5, "max": 5.5,
        "condition": "", "source": "",
    }  # fmt: skip
    missing = run("logic-61V")
    assert missing.exit_code == 2
    assert "Did you mean 'logic-60V'" in missing.stderr
