// The measures as functions of a waveform and channel names.
#include <pybind11/native_enum.h>
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include <optional>
#include <string>

#include "fields.h"
#include "gateswing/measure/crossing.h"
#include "gateswing/measure/extrema.h"
#include "gateswing/measure/integral.h"
#include "gateswing/measure/levels.h"
#include "gateswing/measure/plateau.h"
#include "gateswing/measure/ringing.h"
#include "gateswing/measure/settling.h"
#include "gateswing/measure/switching_energy.h"
#include "gateswing/measure/switching_times.h"
#include "gateswing/measure/window.h"

namespace py = pybind11;

namespace gateswing::bindings {
namespace {

using namespace measure;
using waveform::Waveform;

// The same measure with its channel given by name.
template <class Result, class... Rest>
auto by_name(Result (*measure)(const Waveform&, std::size_t, Rest...)) {
  return [measure](const Waveform& waveform, const std::string& channel, Rest... rest) {
    return measure(waveform, waveform.channel(channel), rest...);
  };
}

// The same with two channels.
template <class Result, class... Rest>
auto by_names(Result (*measure)(const Waveform&, std::size_t, std::size_t, Rest...)) {
  return [measure](const Waveform& waveform, const std::string& first, const std::string& second, Rest... rest) {
    return measure(waveform, waveform.channel(first), waveform.channel(second), rest...);
  };
}

void bind_arguments(py::module_& module) {
  py::class_<Window> window(module, "Window", "Stretch of time a measure looks at.");
  bind_fields(window, field("begin", &Window::begin, "s"), field("end", &Window::end, "s"));
  window.def(py::init<double, double>(), py::arg("begin"), py::arg("end"));
  window.def_property_readonly("length", &Window::length, "[s]");

  py::class_<Levels> levels(module, "Levels", "The two levels between which a quantity switches.");
  bind_fields(levels, field("low", &Levels::low, "unit"), field("high", &Levels::high, "unit"));
  levels.def(py::init<double, double>(), py::arg("low"), py::arg("high"));

  py::class_<EnergyLimits> limits(module, "EnergyLimits", "Where the window of a switching energy begins and ends.");
  bind_fields(limits, field("voltage", &EnergyLimits::voltage, "V"), field("current", &EnergyLimits::current, "A"),
              field("voltage_fraction", &EnergyLimits::voltage_fraction),
              field("current_fraction", &EnergyLimits::current_fraction));
  limits.def(py::init<double, double, double, double>(), py::arg("voltage"), py::arg("current"),
             py::arg("voltage_fraction"), py::arg("current_fraction"));

  py::native_enum<Direction>(module, "Direction", "enum.Enum", "Way in which a level is crossed.")
      .value("rising", Direction::rising)
      .value("falling", Direction::falling)
      .finalize();
}

void bind_results(py::module_& module) {
  py::class_<Extremum> extremum(module, "Extremum", "Highest or lowest value, or slope per second.");
  bind_fields(extremum, field("time", &Extremum::time, "s"), field("value", &Extremum::value, "unit"));

  py::class_<Overshoot> overshoot(module, "Overshoot", "How far a step goes beyond its settled value.");
  bind_fields(overshoot, field("time", &Overshoot::time, "s"), field("peak", &Overshoot::peak, "unit"),
              field("amount", &Overshoot::amount, "unit"), field("fraction", &Overshoot::fraction));

  py::class_<Crossing> crossing(module, "Crossing", "When and which way a level is crossed.");
  bind_fields(crossing, field("time", &Crossing::time, "s"), field("direction", &Crossing::direction));

  py::class_<EdgeTimes> times(module, "EdgeTimes", "The instants of one edge; None for what the waveform lacks.");
  bind_fields(times, field("gate", &EdgeTimes::gate, "s"), field("drain", &EdgeTimes::drain, "s"));
  times.def_property_readonly("delay", &EdgeTimes::delay, "td(on) or td(off) [s]");
  times.def_property_readonly("transition", &EdgeTimes::transition, "tr or tf [s]");
  times.def_property_readonly("total", &EdgeTimes::total, "ton or toff [s]");

  py::class_<Ring> ring(module, "Ring", "Frequency and decay of a ring.");
  bind_fields(ring, field("frequency", &Ring::frequency, "Hz"), field("decay_time", &Ring::decay_time, "s"),
              field("begin", &Ring::begin, "s"), field("amplitude", &Ring::amplitude, "unit"),
              field("half_cycles", &Ring::half_cycles));
  ring.def_property_readonly("quality", &Ring::quality, "Q = pi frequency decay_time");
  ring.def_property_readonly("damping_ratio", &Ring::damping_ratio);

  py::class_<Plateau> plateau(module, "Plateau", "The flattest point of a gate voltage.");
  bind_fields(plateau, field("time", &Plateau::time, "s"), field("voltage", &Plateau::voltage, "V"),
              field("slope", &Plateau::slope, "V/s"));
}

void bind_extrema(py::module_& module) {
  const auto of_window = [&module](const char* name, auto measure, const char* doc) {
    module.def(name, by_name(measure), py::arg("waveform"), py::arg("channel"), py::arg("window"), doc);
  };
  of_window("maximum", &maximum, "Highest value, between nodes too.");
  of_window("minimum", &minimum, "Lowest value, between nodes too.");
  of_window("maximum_slope", &maximum_slope, "Fastest rise [unit/s].");
  of_window("minimum_slope", &minimum_slope, "Fastest fall [unit/s], negative.");
  of_window("steepest_slope", &steepest_slope, "Slope of largest magnitude [unit/s], with its sign.");
  of_window("integral", &integral, "Integral over time [unit s]; of a current, the charge [C].");
  of_window("mean", &mean, "Average over time [unit].");
  of_window("root_mean_square", &root_mean_square, "Root of the mean square [unit].");
  of_window("plateau", &plateau, "Gate plateau: where the slope is least while the drain voltage moves.");
  module.def("overshoot", by_name(&overshoot), py::arg("waveform"), py::arg("channel"), py::arg("initial"),
             py::arg("settled"), py::arg("window"), "How far a step goes beyond its settled value.");
  module.def("integral_of_product", by_names(&integral_of_product), py::arg("waveform"), py::arg("channel"),
             py::arg("other"), py::arg("window"),
             "Integral of the product of two channels; of a voltage and a current, the energy [J].");
}

void bind_crossings(py::module_& module) {
  module.def("whole", &whole, py::arg("waveform"), "The window of all the waveform.");
  module.def("clipped", &clipped, py::arg("waveform"), py::arg("window"), "What the waveform covers of a window.");
  module.def("crossings", by_name(&crossings), py::arg("waveform"), py::arg("channel"), py::arg("level"),
             py::arg("window"), "All crossings of a level, in order of time.");
  module.def("first_crossing", by_name(&first_crossing), py::arg("waveform"), py::arg("channel"), py::arg("level"),
             py::arg("direction"), py::arg("window"), "Time [s] of the first crossing in one direction, or None.");
  module.def("last_crossing", by_name(&last_crossing), py::arg("waveform"), py::arg("channel"), py::arg("level"),
             py::arg("direction"), py::arg("window"), "Time [s] of the last crossing in one direction, or None.");
  module.def("main_transition", by_name(&main_transition), py::arg("waveform"), py::arg("channel"),
             py::arg("from_level"), py::arg("to_level"), py::arg("window"),
             "From the last crossing of one level to the first of the other, spikes ignored; or None.");
  module.def("settling_time", by_name(&settling_time), py::arg("waveform"), py::arg("channel"), py::arg("settled"),
             py::arg("tolerance"), py::arg("window"), "Time [s] from which the channel stays near its settled value.");
  module.def("ring", by_name(&ring), py::arg("waveform"), py::arg("channel"), py::arg("settled"),
             py::arg("noise_floor"), py::arg("window"),
             "Ring about a settled value; None with fewer than three half cycles above the noise floor.");
}

void bind_edges(py::module_& module) {
  const auto times = [&module](const char* name, auto measure, const char* doc) {
    module.def(
        name,
        [measure](const Waveform& waveform, const std::string& gate_source, Levels gate,
                  const std::string& drain_source, Levels drain, Window window) {
          return measure(waveform, waveform.channel(gate_source), gate, waveform.channel(drain_source), drain, window);
        },
        py::arg("waveform"), py::arg("gate_source"), py::arg("gate"), py::arg("drain_source"), py::arg("drain"),
        py::arg("window"), doc);
  };
  times("turn_on_times", &turn_on_times, "IEC 60747-8 instants of a turn-on.");
  times("turn_off_times", &turn_off_times, "IEC 60747-8 instants of a turn-off.");

  const auto energy = [&module](const char* name, auto measure, const char* doc) {
    module.def(name, by_names(measure), py::arg("waveform"), py::arg("drain_source"), py::arg("drain_current"),
               py::arg("limits"), py::arg("window"), doc);
  };
  energy("turn_on_energy_window", &turn_on_energy_window, "Where Eon is counted, or None.");
  energy("turn_off_energy_window", &turn_off_energy_window, "Where Eoff is counted, or None.");
  energy("turn_on_energy", &turn_on_energy, "Eon [J] inside its window, or None.");
  energy("turn_off_energy", &turn_off_energy, "Eoff [J] inside its window, or None.");
}

}  // namespace
}  // namespace gateswing::bindings

void bind_measure(py::module_& module) {
  using namespace gateswing::bindings;
  bind_arguments(module);
  bind_results(module);
  bind_extrema(module);
  bind_crossings(module);
  bind_edges(module);
}
