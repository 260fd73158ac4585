// The tests of single parts: gate charge, reverse recovery, avalanche.
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include "ask.h"
#include "fields.h"
#include "gateswing/study/avalanche_test.h"
#include "gateswing/study/gate_charge_test.h"
#include "gateswing/study/recovery_test.h"

namespace py = pybind11;

namespace gateswing::bindings {
namespace {

using network::AvalancheCircuit;
using network::GateChargeCircuit;
using network::RecoveryCircuit;
using study::AvalancheTest;
using study::GateChargeTest;
using study::RecoveryTest;
using study::Transient;

void bind_circuits(py::module_& module) {
  py::class_<GateChargeCircuit> charge(module, "GateChargeCircuit", "Constant gate current, clamped load current.");
  bind_fields(charge, field("mosfet", &GateChargeCircuit::mosfet),
              field("drain_voltage", &GateChargeCircuit::drain_voltage, "V"),
              field("drain_current", &GateChargeCircuit::drain_current, "A"),
              field("gate_current", &GateChargeCircuit::gate_current, "A"));

  py::class_<RecoveryCircuit> recovery(module, "RecoveryCircuit", "Forced ramp of current through a diode.");
  bind_fields(recovery, field("part", &RecoveryCircuit::part),
              field("forward_current", &RecoveryCircuit::forward_current, "A"),
              field("current_slope", &RecoveryCircuit::current_slope, "A/s"),
              field("reverse_voltage", &RecoveryCircuit::reverse_voltage, "V"));

  py::class_<AvalancheCircuit> avalanche(module, "AvalancheCircuit", "Unclamped choke in the drain.");
  bind_fields(avalanche, field("mosfet", &AvalancheCircuit::mosfet),
              field("supply_voltage", &AvalancheCircuit::supply_voltage, "V"),
              field("inductance", &AvalancheCircuit::inductance, "H"),
              field("resistance", &AvalancheCircuit::resistance, "ohm"),
              field("current", &AvalancheCircuit::current, "A"),
              field("gate_voltage", &AvalancheCircuit::gate_voltage, "V"),
              field("gate_resistance", &AvalancheCircuit::gate_resistance, "ohm"),
              field("fall_time", &AvalancheCircuit::fall_time, "s"));
}

void bind_results(py::module_& module) {
  py::class_<GateChargeTest, Transient>(module, "GateChargeTest", "Gate charge by a constant gate current.")
      .def_readonly("gate_current", &GateChargeTest::gate_current, "[A]")
      .def_readonly("total", &GateChargeTest::total, "[C]");
  py::class_<RecoveryTest, Transient>(module, "RecoveryTest", "Reverse recovery on a forced ramp.")
      .def_readonly("peak_current", &RecoveryTest::peak_current, "[A]")
      .def_readonly("time", &RecoveryTest::time, "[s]")
      .def_readonly("line_time", &RecoveryTest::line_time, "[s]")
      .def_readonly("short_time", &RecoveryTest::short_time, "[s]")
      .def_readonly("charge", &RecoveryTest::charge, "[C]");
  py::class_<AvalancheTest, Transient>(module, "AvalancheTest", "Single-pulse avalanche.")
      .def_readonly("current", &AvalancheTest::current, "[A]")
      .def_readonly("time_in_avalanche", &AvalancheTest::time_in_avalanche, "[s]")
      .def_readonly("energy", &AvalancheTest::energy, "[J]")
      .def_readonly("peak_voltage", &AvalancheTest::peak_voltage, "[V]");
}

}  // namespace
}  // namespace gateswing::bindings

void bind_part_tests(py::module_& module) {
  using namespace gateswing::bindings;
  bind_circuits(module);
  bind_results(module);
  using gateswing::simulate::Settings;
  module.def(
      "gate_charge_test",
      [](const GateChargeCircuit& test, double gate_voltage, const Settings& settings) {
        return ask(gateswing::study::gate_charge_test, settings, test, gate_voltage);
      },
      py::arg("test"), py::arg("gate_voltage"), py::arg("settings"),
      "Charges the gate from 0 V to gate_voltage [V]; a gate current of 0 chooses one.");
  module.def(
      "recovery_test",
      [](const RecoveryCircuit& test, const Settings& settings) {
        return ask(gateswing::study::recovery_test, settings, test);
      },
      py::arg("test"), py::arg("settings"), "Runs the ramp until the recovery is over.");
  module.def(
      "avalanche_test",
      [](const AvalancheCircuit& test, const Settings& settings) {
        return ask(gateswing::study::avalanche_test, settings, test);
      },
      py::arg("test"), py::arg("settings"), "Turns off into the choke until its current is spent.");
}
