// MOSFETs in parallel.
#include "gateswing/study/current_sharing.h"

#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include "ask.h"
#include "fields.h"

namespace py = pybind11;

namespace gateswing::bindings {
namespace {

using network::ParallelCell;
using study::CurrentSharing;
using study::SharedFigures;

void bind_answer(py::module_& module) {
  py::class_<ParallelCell> cell(module, "ParallelCell", "Low-side cell with several MOSFETs in parallel.");
  bind_fields(cell, field("cell", &ParallelCell::cell), field("further", &ParallelCell::further));
  py::class_<SharedFigures>(module, "SharedFigures", "What one of several MOSFETs does.")
      .def_readonly("on_current", &SharedFigures::on_current, "[A]")
      .def_readonly("turn_on_time", &SharedFigures::turn_on_time, "[s]")
      .def_readonly("turn_off_time", &SharedFigures::turn_off_time, "[s]")
      .def_readonly("peak_turn_on_current", &SharedFigures::peak_turn_on_current, "[A]")
      .def_readonly("peak_turn_off_current", &SharedFigures::peak_turn_off_current, "[A]")
      .def_readonly("turn_on_energy", &SharedFigures::turn_on_energy, "[J]")
      .def_readonly("turn_off_energy", &SharedFigures::turn_off_energy, "[J]");
  py::class_<CurrentSharing>(module, "CurrentSharing", "A double pulse of MOSFETs in parallel.")
      .def_readonly("pulse", &CurrentSharing::pulse)
      .def_readonly("mosfets", &CurrentSharing::mosfets);
}

}  // namespace
}  // namespace gateswing::bindings

void bind_current_sharing(py::module_& module) {
  using namespace gateswing::bindings;
  bind_answer(module);
  module.def(
      "current_sharing",
      [](const gateswing::network::ParallelCell& cell, const gateswing::study::DoublePulseRequest& request,
         const gateswing::simulate::Settings& settings) {
        return ask(gateswing::study::current_sharing, settings, cell, request);
      },
      py::arg("cell"), py::arg("request"), py::arg("settings"), "One turn-on and one turn-off of MOSFETs in parallel.");
}
