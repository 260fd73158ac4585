// The half bridge and the study of its commutations.
#include <pybind11/native_enum.h>
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include "ask.h"
#include "fields.h"
#include "gateswing/study/half_bridge_edges.h"

namespace py = pybind11;

namespace gateswing::bindings {
namespace {

using network::BridgeSwitch;
using network::HalfBridgeCell;
using network::LoadReturn;
using network::Side;
using study::CommutationFigures;
using study::HalfBridgeEdges;
using study::HalfBridgeRequest;

void bind_cell(py::module_& module) {
  py::native_enum<Side>(module, "Side", "enum.Enum", "Which switch of a half bridge.")
      .value("high", Side::high)
      .value("low", Side::low)
      .finalize();
  py::native_enum<LoadReturn>(module, "LoadReturn", "enum.Enum", "Where the load current of a half bridge returns to.")
      .value("ground", LoadReturn::ground)
      .value("bus", LoadReturn::bus)
      .value("midpoint", LoadReturn::midpoint)
      .finalize();

  py::class_<BridgeSwitch> part(module, "BridgeSwitch", "One MOSFET of a half bridge with its driver.");
  bind_fields(part, field("mosfet", &BridgeSwitch::mosfet), field("driver", &BridgeSwitch::driver),
              field("gate", &BridgeSwitch::gate), field("diode", &BridgeSwitch::diode),
              field("snubber", &BridgeSwitch::snubber),
              field("common_source_inductance", &BridgeSwitch::common_source_inductance, "H"));

  py::class_<HalfBridgeCell> cell(module, "HalfBridgeCell", "Two MOSFETs in series, the load between them.");
  bind_fields(cell, field("supply", &HalfBridgeCell::supply), field("high", &HalfBridgeCell::high),
              field("low", &HalfBridgeCell::low), field("load", &HalfBridgeCell::load),
              field("load_return", &HalfBridgeCell::load_return),
              field("loop_inductance", &HalfBridgeCell::loop_inductance, "H"),
              field("loop_resistance", &HalfBridgeCell::loop_resistance, "ohm"));
}

void bind_commutation(py::module_& module) {
  py::class_<CommutationFigures>(module, "Commutation", "What two switches in series do to each other.")
      .def_readonly("outgoing_off", &CommutationFigures::outgoing_off, "[s]")
      .def_readonly("incoming_on", &CommutationFigures::incoming_on, "[s]")
      .def_readonly("gate_gap", &CommutationFigures::gate_gap, "[s]")
      .def_readonly("dead_time_needed", &CommutationFigures::dead_time_needed, "[s]")
      .def_readonly("voltage_at_turn_on", &CommutationFigures::voltage_at_turn_on, "[V]")
      .def_readonly("shoot_through_charge", &CommutationFigures::shoot_through_charge, "[C]")
      .def_readonly("shoot_through_energy", &CommutationFigures::shoot_through_energy, "[J]")
      .def_readonly("induced_gate_voltage", &CommutationFigures::induced_gate_voltage, "[V]")
      .def_readonly("threshold_margin", &CommutationFigures::threshold_margin, "[V]")
      .def_readonly("minimum_gate_voltage", &CommutationFigures::minimum_gate_voltage, "[V]")
      .def_readonly("peak_reverse_current", &CommutationFigures::peak_reverse_current, "[A]")
      .def_readonly("recovery_charge", &CommutationFigures::recovery_charge, "[C]")
      .def_readonly("recovery_energy", &CommutationFigures::recovery_energy, "[J]")
      .def_readonly("capacitive_charge", &CommutationFigures::capacitive_charge, "[C]")
      .def_readonly("diode_conduction_energy", &CommutationFigures::diode_conduction_energy, "[J]");
}

void bind_answer(py::module_& module) {
  py::class_<HalfBridgeRequest> request(module, "HalfBridgeRequest", "Current, dead time and times; 0 chooses.");
  bind_fields(request, field("current", &HalfBridgeRequest::current, "A"), field("active", &HalfBridgeRequest::active),
              field("dead_time", &HalfBridgeRequest::dead_time, "s"),
              field("on_time", &HalfBridgeRequest::on_time, "s"), field("off_time", &HalfBridgeRequest::off_time, "s"));
  py::class_<HalfBridgeEdges>(module, "HalfBridgeEdges", "Both commutations of a half bridge.")
      .def_readonly("status", &HalfBridgeEdges::status)
      .def_readonly("message", &HalfBridgeEdges::message)
      .def_readonly("current", &HalfBridgeEdges::current, "[A]")
      .def_readonly("on_time", &HalfBridgeEdges::on_time, "[s]")
      .def_readonly("off_time", &HalfBridgeEdges::off_time, "[s]")
      .def_readonly("turn_on", &HalfBridgeEdges::turn_on)
      .def_readonly("turn_off", &HalfBridgeEdges::turn_off)
      .def_readonly("to_active", &HalfBridgeEdges::to_active)
      .def_readonly("from_active", &HalfBridgeEdges::from_active)
      .def_property_readonly("ledger", [](const HalfBridgeEdges& self) { return self.ledger.entries; })
      .def_property_readonly("energy_residual", [](const HalfBridgeEdges& self) { return self.ledger.energy_residual; })
      .def_property_readonly("charge_residual", [](const HalfBridgeEdges& self) { return self.ledger.charge_residual; })
      .def_readonly("statistics", &HalfBridgeEdges::statistics)
      .def_readonly("waveform", &HalfBridgeEdges::waveform);
}

}  // namespace
}  // namespace gateswing::bindings

void bind_half_bridge(py::module_& module) {
  using namespace gateswing::bindings;
  using gateswing::network::HalfBridgeCell;
  using gateswing::study::HalfBridgeRequest;
  bind_cell(module);
  bind_commutation(module);
  bind_answer(module);
  module.def(
      "half_bridge_edges",
      [](const HalfBridgeCell& cell, const HalfBridgeRequest& request, const gateswing::study::Settings& settings) {
        return ask(gateswing::study::half_bridge_edges, cell, request, settings);
      },
      py::arg("cell"), py::arg("request"), py::arg("settings"), "Both commutations of a half bridge.");
}
