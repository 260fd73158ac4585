// The half bridge, the study of its commutations, and its steady state.
#include <pybind11/native_enum.h>
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include "ask.h"
#include "fields.h"
#include "gateswing/study/half_bridge_edges.h"
#include "gateswing/study/half_bridge_point.h"

namespace py = pybind11;

namespace gateswing::bindings {
namespace {

using network::Bootstrap;
using network::BridgeSwitch;
using network::HalfBridgeCell;
using network::LoadReturn;
using network::Output;
using network::Side;
using study::BridgeOperation;
using study::CommutationFigures;
using study::HalfBridgeEdges;
using study::HalfBridgePoint;
using study::HalfBridgePointRequest;
using study::HalfBridgeRequest;
using study::SwitchFigures;

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
              field("common_source_inductance", &BridgeSwitch::common_source_inductance, "H"),
              field("cooled_mosfet", &BridgeSwitch::cooled_mosfet), field("cooled_diode", &BridgeSwitch::cooled_diode));

  py::class_<Output> output(module, "Output", "What a half bridge feeds through its load.");
  bind_fields(output, field("voltage", &Output::voltage, "V"), field("resistance", &Output::resistance, "ohm"),
              field("capacitance", &Output::capacitance, "F"),
              field("capacitor_resistance", &Output::capacitor_resistance, "ohm"));

  py::class_<Bootstrap> bootstrap(module, "Bootstrap", "Capacitor that feeds the driver of the high side.");
  bind_fields(bootstrap, field("supply_voltage", &Bootstrap::supply_voltage, "V"), field("diode", &Bootstrap::diode),
              field("resistance", &Bootstrap::resistance, "ohm"), field("capacitance", &Bootstrap::capacitance, "F"));

  py::class_<HalfBridgeCell> cell(module, "HalfBridgeCell", "Two MOSFETs in series, the load between them.");
  bind_fields(cell, field("supply", &HalfBridgeCell::supply), field("high", &HalfBridgeCell::high),
              field("low", &HalfBridgeCell::low), field("load", &HalfBridgeCell::load),
              field("load_return", &HalfBridgeCell::load_return), field("output", &HalfBridgeCell::output),
              field("bootstrap", &HalfBridgeCell::bootstrap),
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
  py::class_<HalfBridgeEdges, study::Transient>(module, "HalfBridgeEdges", "Both commutations of a half bridge.")
      .def_readonly("current", &HalfBridgeEdges::current, "[A]")
      .def_readonly("on_time", &HalfBridgeEdges::on_time, "[s]")
      .def_readonly("off_time", &HalfBridgeEdges::off_time, "[s]")
      .def_readonly("turn_on", &HalfBridgeEdges::turn_on)
      .def_readonly("turn_off", &HalfBridgeEdges::turn_off)
      .def_readonly("to_active", &HalfBridgeEdges::to_active)
      .def_readonly("from_active", &HalfBridgeEdges::from_active);
}

void bind_operation(py::module_& module) {
  py::class_<BridgeOperation> operation(module, "BridgeOperation", "How a half bridge is run.");
  bind_fields(operation, field("frequency", &BridgeOperation::frequency, "Hz"), field("duty", &BridgeOperation::duty),
              field("dead_time", &BridgeOperation::dead_time, "s"), field("active", &BridgeOperation::active));
  py::class_<HalfBridgePointRequest> request(module, "HalfBridgePointRequest", "Operation and limits of the search.");
  bind_fields(request, field("operation", &HalfBridgePointRequest::operation),
              field("periodicity_tolerance", &HalfBridgePointRequest::periodicity_tolerance),
              field("maximum_periods", &HalfBridgePointRequest::maximum_periods));
  py::class_<SwitchFigures>(module, "SwitchFigures", "What one side of a half bridge does over a period.")
      .def_readonly("loss", &SwitchFigures::loss, "[W]")
      .def_readonly("diode_loss", &SwitchFigures::diode_loss, "[W]")
      .def_readonly("driver_loss", &SwitchFigures::driver_loss, "[W]")
      .def_readonly("rms_current", &SwitchFigures::rms_current, "[A]")
      .def_readonly("peak_drain_voltage", &SwitchFigures::peak_drain_voltage, "[V]")
      .def_readonly("maximum_gate_voltage", &SwitchFigures::maximum_gate_voltage, "[V]")
      .def_readonly("minimum_gate_voltage", &SwitchFigures::minimum_gate_voltage, "[V]")
      .def_readonly("junction_temperature", &SwitchFigures::junction_temperature, "[K]")
      .def_readonly("diode_temperature", &SwitchFigures::diode_temperature, "[K]");
}

void bind_point(py::module_& module) {
  py::class_<HalfBridgePoint, study::SteadyPeriod> point(module, "HalfBridgePoint", "A half bridge in steady state.");
  point.def_readonly("input_power", &HalfBridgePoint::input_power, "[W]")
      .def_readonly("load_power", &HalfBridgePoint::load_power, "[W]")
      .def_readonly("total_loss", &HalfBridgePoint::total_loss, "[W]")
      .def_readonly("efficiency", &HalfBridgePoint::efficiency)
      .def_readonly("mean_load_current", &HalfBridgePoint::mean_load_current, "[A]")
      .def_readonly("rms_load_current", &HalfBridgePoint::rms_load_current, "[A]")
      .def_readonly("load_current_ripple", &HalfBridgePoint::load_current_ripple, "[A]")
      .def_readonly("mean_switch_voltage", &HalfBridgePoint::mean_switch_voltage, "[V]")
      .def_readonly("output_voltage", &HalfBridgePoint::output_voltage, "[V]")
      .def_readonly("output_ripple", &HalfBridgePoint::output_ripple, "[V]")
      .def_readonly("shoot_through_charge", &HalfBridgePoint::shoot_through_charge, "[C]");
  point.def_readonly("high_supply_maximum", &HalfBridgePoint::high_supply_maximum, "[V]")
      .def_readonly("high_supply_minimum", &HalfBridgePoint::high_supply_minimum, "[V]")
      .def_readonly("high", &HalfBridgePoint::high)
      .def_readonly("low", &HalfBridgePoint::low)
      .def_readonly("turn_on", &HalfBridgePoint::turn_on)
      .def_readonly("turn_off", &HalfBridgePoint::turn_off)
      .def_readonly("to_active", &HalfBridgePoint::to_active)
      .def_readonly("from_active", &HalfBridgePoint::from_active);
}

}  // namespace
}  // namespace gateswing::bindings

void bind_half_bridge(py::module_& module) {
  using namespace gateswing::bindings;
  using gateswing::network::HalfBridgeCell;
  using gateswing::study::HalfBridgePointRequest;
  using gateswing::study::HalfBridgeRequest;
  bind_cell(module);
  bind_commutation(module);
  bind_answer(module);
  bind_operation(module);
  bind_point(module);
  module.def(
      "half_bridge_point",
      [](const HalfBridgeCell& cell, const HalfBridgePointRequest& request,
         const gateswing::simulate::Settings& settings) {
        const auto study = [](const auto&... asked) { return gateswing::study::half_bridge_point(asked...); };
        return ask(study, settings, cell, request);
      },
      py::arg("cell"), py::arg("request"), py::arg("settings"), "The steady state of a half bridge.");
  module.def(
      "half_bridge_edges",
      [](const HalfBridgeCell& cell, const HalfBridgeRequest& request, const gateswing::simulate::Settings& settings) {
        return ask(gateswing::study::half_bridge_edges, settings, cell, request);
      },
      py::arg("cell"), py::arg("request"), py::arg("settings"), "Both commutations of a half bridge.");
}
