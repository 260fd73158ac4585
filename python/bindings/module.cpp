// The extension module gateswing._core: calls the binding function of each file.
#include <pybind11/pybind11.h>

#include <string>

#include "gateswing/version.h"

void bind_device(pybind11::module_& module);
void bind_network(pybind11::module_& module);
void bind_waveform(pybind11::module_& module);
void bind_measure(pybind11::module_& module);
void bind_study(pybind11::module_& module);
void bind_part_tests(pybind11::module_& module);
void bind_half_bridge(pybind11::module_& module);
void bind_sweep(pybind11::module_& module);
void bind_inductive_turn_off(pybind11::module_& module);
void bind_current_sharing(pybind11::module_& module);

PYBIND11_MODULE(_core, module) {
  module.doc() = "C++ core of gateswing.";
  module.attr("__version__") = std::string(gateswing::version);
  bind_device(module);
  bind_network(module);
  bind_waveform(module);
  bind_measure(module);
  bind_study(module);
  bind_part_tests(module);
  bind_half_bridge(module);
  bind_sweep(module);
  bind_inductive_turn_off(module);
  bind_current_sharing(module);
}
