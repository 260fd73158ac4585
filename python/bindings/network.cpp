// The low-side cell: its parts as plain classes.
#include "gateswing/network/low_side_cell.h"

#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include "fields.h"

namespace py = pybind11;

namespace gateswing::bindings {
namespace {

using network::Clamp;
using network::CommandTiming;
using network::CooledDiode;
using network::CooledMosfet;
using network::FreewheelDiode;
using network::GatePath;
using network::HeatPath;
using network::LedString;
using network::Load;
using network::LowSideCell;
using network::opposing_voltage;
using network::PushPullDriver;
using network::RcdClamp;
using network::settled_current;
using network::Snubber;
using network::Supply;
using network::Wiring;

void bind_supply_and_load(py::module_& module) {
  py::class_<Supply> supply(module, "Supply", "Bus source, its cable and the bulk capacitor.");
  bind_fields(supply, field("voltage", &Supply::voltage, "V"), field("resistance", &Supply::resistance, "ohm"),
              field("inductance", &Supply::inductance, "H"), field("bulk_capacitance", &Supply::bulk_capacitance, "F"),
              field("bulk_resistance", &Supply::bulk_resistance, "ohm"),
              field("bulk_inductance", &Supply::bulk_inductance, "H"));

  py::class_<LedString> leds(module, "LedString", "Junctions in series as one.");
  bind_fields(leds, field("junction", &LedString::junction), field("capacitance", &LedString::capacitance, "F"));

  py::class_<Load> load(module, "Load", "Series R-L load with what opposes its current, or a constant current.");
  bind_fields(load, field("resistance", &Load::resistance, "ohm"), field("inductance", &Load::inductance, "H"),
              field("constant_current", &Load::constant_current, "A"), field("back_emf", &Load::back_emf, "V"),
              field("leds", &Load::leds), field("core_resistance", &Load::core_resistance, "ohm"));

  py::class_<FreewheelDiode> freewheel(module, "FreewheelDiode", "Diode from the switch node to the bus.");
  bind_fields(
      freewheel, field("junction", &FreewheelDiode::junction), field("capacitance", &FreewheelDiode::capacitance),
      field("resistance", &FreewheelDiode::resistance, "ohm"), field("inductance", &FreewheelDiode::inductance, "H"));

  py::class_<Snubber> snubber(module, "Snubber", "Series R-C from drain pin to source pin.");
  bind_fields(snubber, field("resistance", &Snubber::resistance, "ohm"),
              field("capacitance", &Snubber::capacitance, "F"));

  py::class_<Clamp> clamp(module, "Clamp", "Zener or TVS diode.");
  bind_fields(clamp, field("law", &Clamp::law), field("capacitance", &Clamp::capacitance, "F"));

  py::class_<RcdClamp> rcd(module, "RcdClamp", "Diode into a capacitor with a resistor across it.");
  bind_fields(rcd, field("diode", &RcdClamp::diode), field("resistance", &RcdClamp::resistance, "ohm"),
              field("capacitance", &RcdClamp::capacitance, "F"));

  py::class_<Wiring> wiring(module, "Wiring", "Layout of the power loop.");
  bind_fields(wiring, field("loop_inductance", &Wiring::loop_inductance, "H"),
              field("loop_resistance", &Wiring::loop_resistance, "ohm"),
              field("common_source_inductance", &Wiring::common_source_inductance, "H"));
}

void bind_drive(py::module_& module) {
  py::class_<CommandTiming> timing(module, "CommandTiming", "Delays and ramps of a driver output.");
  bind_fields(timing, field("rise_time", &CommandTiming::rise_time, "s"),
              field("fall_time", &CommandTiming::fall_time, "s"),
              field("turn_on_delay", &CommandTiming::turn_on_delay, "s"),
              field("turn_off_delay", &CommandTiming::turn_off_delay, "s"));

  py::class_<PushPullDriver> driver(module, "PushPullDriver", "Driver output with its rails and timing.");
  bind_fields(driver, field("output", &PushPullDriver::output),
              field("supply_voltage", &PushPullDriver::supply_voltage, "V"),
              field("off_voltage", &PushPullDriver::off_voltage, "V"), field("timing", &PushPullDriver::timing),
              field("on_state_power", &PushPullDriver::on_state_power, "W"),
              field("off_state_power", &PushPullDriver::off_state_power, "W"));

  py::class_<GatePath> gate(module, "GatePath", "Between driver output and gate pin.");
  bind_fields(gate, field("turn_on_resistance", &GatePath::turn_on_resistance, "ohm"),
              field("steering", &GatePath::steering), field("inductance", &GatePath::inductance, "H"),
              field("pull_down_resistance", &GatePath::pull_down_resistance, "ohm"));
}

void bind_cooling(py::module_& module) {
  py::class_<HeatPath> path(module, "HeatPath", "From a junction to the ambient.");
  bind_fields(path, field("ambient", &HeatPath::ambient, "K"), field("resistance", &HeatPath::resistance, "K/W"));
  py::class_<CooledMosfet> mosfet(module, "CooledMosfet",
                                  "A MOSFET whose junction temperature follows from its losses.");
  bind_fields(mosfet, field("stated", &CooledMosfet::stated),
              field("stated_temperature", &CooledMosfet::stated_temperature, "K"),
              field("coefficients", &CooledMosfet::coefficients), field("body_diode", &CooledMosfet::body_diode),
              field("path", &CooledMosfet::path));
  py::class_<CooledDiode> diode(module, "CooledDiode", "A diode whose junction temperature follows from its losses.");
  bind_fields(diode, field("stated", &CooledDiode::stated),
              field("stated_temperature", &CooledDiode::stated_temperature, "K"),
              field("coefficients", &CooledDiode::coefficients), field("path", &CooledDiode::path));
}

}  // namespace
}  // namespace gateswing::bindings

void bind_network(py::module_& module) {
  using namespace gateswing::bindings;
  bind_supply_and_load(module);
  module.def("opposing_voltage", &opposing_voltage, py::arg("load"), py::arg("current"),
             "What stands against a load current [A] beside resistance and inductance [V].");
  module.def("settled_current", &settled_current, py::arg("load"), py::arg("voltage"),
             "Current [A] that a load with a resistance settles at across a constant voltage [V].");
  bind_drive(module);
  bind_cooling(module);
  py::class_<LowSideCell> cell(module, "LowSideCell", "Low-side switching cell.");
  bind_fields(
      cell, field("supply", &LowSideCell::supply), field("mosfet", &LowSideCell::mosfet),
      field("driver", &LowSideCell::driver), field("gate", &LowSideCell::gate), field("load", &LowSideCell::load),
      field("freewheel", &LowSideCell::freewheel), field("snubber", &LowSideCell::snubber),
      field("wiring", &LowSideCell::wiring), field("drain_source_clamp", &LowSideCell::drain_source_clamp),
      field("drain_gate_clamp", &LowSideCell::drain_gate_clamp), field("rcd_clamp", &LowSideCell::rcd_clamp),
      field("cooled_mosfet", &LowSideCell::cooled_mosfet), field("cooled_freewheel", &LowSideCell::cooled_freewheel));
}
