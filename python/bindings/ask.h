// Runs a study without the interpreter lock, and lets a signal stop it.
#pragma once

#include <pybind11/pybind11.h>

#include "gateswing/simulate/interruptible.h"

namespace gateswing::bindings {

/// True while no signal asks Python to stop; the exception it raised stays set for check_interrupt().
inline bool no_signal() {
  const pybind11::gil_scoped_acquire gil;
  return PyErr_CheckSignals() == 0;
}

/// Raises what a signal handler raised during a call made without the interpreter lock.
inline void check_interrupt() {
  if (PyErr_Occurred() != nullptr) throw pybind11::error_already_set();
}

/// question(asked..., settings).
template <class Study, class... Asked>
auto ask(Study question, const simulate::Settings& settings, const Asked&... asked) {
  auto answer = [&] {
    const pybind11::gil_scoped_release no_gil;
    return simulate::run_interruptible([&](const simulate::Settings& s) { return question(asked..., s); }, settings,
                                       no_signal);
  }();
  check_interrupt();
  return answer;
}

}  // namespace gateswing::bindings
