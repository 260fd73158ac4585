// The release of an inductive load.
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include "ask.h"
#include "fields.h"
#include "gateswing/study/inductive_turn_off.h"

namespace py = pybind11;

namespace gateswing::bindings {
namespace {

using study::InductiveTurnOff;
using study::InductiveTurnOffRequest;

void bind_answer(py::module_& module) {
  py::class_<InductiveTurnOffRequest> request(module, "InductiveTurnOffRequest", "Current and when it counts as gone.");
  bind_fields(request, field("current", &InductiveTurnOffRequest::current, "A"),
              field("remaining_share", &InductiveTurnOffRequest::remaining_share));
  py::class_<InductiveTurnOff, study::Transient>(module, "InductiveTurnOff", "Release of an inductive load.")
      .def_readonly("release_time", &InductiveTurnOff::release_time, "[s]")
      .def_readonly("peak_drain_voltage", &InductiveTurnOff::peak_drain_voltage, "[V]")
      .def_readonly("plateau_voltage", &InductiveTurnOff::plateau_voltage, "[V]")
      .def_readonly("maximum_gate_voltage", &InductiveTurnOff::maximum_gate_voltage, "[V]")
      .def_readonly("breakdown_energy", &InductiveTurnOff::breakdown_energy, "[J]")
      .def_readonly("channel_energy", &InductiveTurnOff::channel_energy, "[J]")
      .def_readonly("clamp_energy", &InductiveTurnOff::clamp_energy, "[J]")
      .def_readonly("load_energy", &InductiveTurnOff::load_energy, "[J]")
      .def_readonly("release_time_by_hand", &InductiveTurnOff::release_time_by_hand, "[s]")
      .def_readonly("energy_by_hand", &InductiveTurnOff::energy_by_hand, "[J]")
      .def_readonly("turn_off", &InductiveTurnOff::turn_off);
}

}  // namespace
}  // namespace gateswing::bindings

void bind_inductive_turn_off(py::module_& module) {
  using namespace gateswing::bindings;
  bind_answer(module);
  module.def(
      "inductive_turn_off",
      [](const gateswing::network::LowSideCell& cell, const InductiveTurnOffRequest& request,
         const gateswing::simulate::Settings& settings) {
        return ask(gateswing::study::inductive_turn_off, settings, cell, request);
      },
      py::arg("cell"), py::arg("request"), py::arg("settings"), "Turn-off of an inductive load current.");
}
