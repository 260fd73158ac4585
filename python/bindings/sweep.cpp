// Sweeps of low-side cells and of half bridges, and the figures of their points.
#include <pybind11/functional.h>
#include <pybind11/native_enum.h>
#include <pybind11/numpy.h>
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include <utility>

#include "gateswing/study/figures.h"
#include "gateswing/study/sweep.h"

namespace py = pybind11;

namespace gateswing::bindings {
namespace {

using simulate::Settings;
using study::PointStatus;
using study::SweepResult;

struct FigureText {
  std::string name;
  std::string unit;
  std::string meaning;
};

template <class Answer>
std::vector<FigureText> texts_of(std::span<const study::Figure<Answer>> figures) {
  std::vector<FigureText> texts;
  for (const auto& figure : figures) texts.push_back({figure.name, figure.unit, figure.meaning});
  return texts;
}

std::size_t width_of(const SweepResult& result) {
  return result.status.empty() ? 0 : result.figures.size() / result.status.size();
}

py::array_t<double> figure_table(const SweepResult& self) {
  const auto rows = static_cast<py::ssize_t>(self.status.size());
  const auto columns = static_cast<py::ssize_t>(width_of(self));
  return py::array_t<double>({rows, columns}, self.figures.data());
}

/// The exception that is set in the interpreter, with its traceback, or None; it is set no longer.
py::object take_raised() {
  if (PyErr_Occurred() == nullptr) return py::none();
  const py::error_already_set error;
  if (error.trace()) PyException_SetTraceback(error.value().ptr(), error.trace().ptr());
  return error.value();
}

using Progress = std::function<void(const SweepResult& finished, const std::vector<std::size_t>& points)>;

SweepResult rows_of(const SweepResult& result, std::span<const std::size_t> points) {
  const auto width = static_cast<std::ptrdiff_t>(width_of(result));
  SweepResult rows;
  for (const std::size_t point : points) {
    rows.status.push_back(result.status[point]);
    rows.messages.push_back(result.messages[point]);
    const auto row = result.figures.begin() + static_cast<std::ptrdiff_t>(point) * width;
    rows.figures.insert(rows.figures.end(), row, row + width);
  }
  return rows;
}

/// `make` makes the points.
template <class Make>
SweepResult run_sweep(const Make& make, const Settings& settings, std::size_t threads, const Progress& progress) {
  const auto poll = [&](const SweepResult& result, std::span<const std::size_t> finished) {
    const SweepResult rows = rows_of(result, finished);
    const py::gil_scoped_acquire gil;
    try {
      if (progress) progress(rows, {finished.begin(), finished.end()});
    } catch (py::error_already_set& error) {
      // It is left to whoever has the finished points, and stops the sweep.
      error.restore();
      return false;
    }
    return PyErr_CheckSignals() == 0;
  };
  const py::gil_scoped_release no_gil;
  const auto points = make();
  return study::sweep(points, settings, threads, poll);
}

/// What a signal handler or `progress` raised is left to the caller, who keeps the finished points before he raises it.
template <class Make>
auto answer_of(const Make& make, const Settings& settings, std::size_t threads, const Progress& progress) {
  SweepResult result = run_sweep(make, settings, threads, progress);
  return std::pair(std::move(result), take_raised());
}

/// Cell by index, frequency [Hz] and duty.
using Operation = std::tuple<std::size_t, double, double>;

auto sweep_cells(const std::vector<network::LowSideCell>& cells, const std::vector<Operation>& operations,
                 const Settings& settings, std::size_t threads, const Progress& progress) {
  const auto make = [&] {
    std::vector<study::SweepPoint> points;
    points.reserve(operations.size());
    for (const auto& [cell, frequency, duty] : operations)
      points.push_back({cells.at(cell), {.frequency = frequency, .duty = duty}});
    return points;
  };
  return answer_of(make, settings, threads, progress);
}

/// Bridge by index, frequency [Hz], duty of the active switch, dead time [s] and the active switch.
using BridgeOperation = std::tuple<std::size_t, double, double, double, network::Side>;

auto sweep_bridges(const std::vector<network::HalfBridgeCell>& cells, const std::vector<BridgeOperation>& operations,
                   const Settings& settings, std::size_t threads, const Progress& progress) {
  const auto make = [&] {
    std::vector<study::BridgeSweepPoint> points;
    points.reserve(operations.size());
    for (const auto& [cell, frequency, duty, dead_time, active] : operations) {
      const study::BridgeOperation operation{
          .frequency = frequency, .duty = duty, .dead_time = dead_time, .active = active};
      points.push_back({cells.at(cell), {.operation = operation}});
    }
    return points;
  };
  return answer_of(make, settings, threads, progress);
}

void bind_answer(py::module_& module) {
  py::native_enum<PointStatus>(module, "PointStatus", "enum.Enum", "What became of one point of a sweep.")
      .value("not_run", PointStatus::not_run)
      .value("done", PointStatus::done)
      .value("not_periodic", PointStatus::not_periodic)
      .value("unstable", PointStatus::unstable)
      .value("thermal_runaway", PointStatus::thermal_runaway)
      .value("ringing", PointStatus::ringing)
      .value("failed", PointStatus::failed)
      .value("invalid", PointStatus::invalid)
      .finalize();
  py::class_<SweepResult>(module, "SweepResult", "Figures of many steady states.")
      .def_readonly("status", &SweepResult::status)
      .def_readonly("messages", &SweepResult::messages)
      .def_readonly("cancelled", &SweepResult::cancelled)
      .def_property_readonly("figures", &figure_table, "(points, figures)");
  py::class_<FigureText>(module, "Figure", "One scalar figure of a steady state.")
      .def_readonly("name", &FigureText::name)
      .def_readonly("unit", &FigureText::unit)
      .def_readonly("meaning", &FigureText::meaning);
}

}  // namespace
}  // namespace gateswing::bindings

void bind_sweep(py::module_& module) {
  using namespace gateswing::bindings;
  bind_answer(module);
  module.def(
      "operating_point_figures", [] { return texts_of(gateswing::study::operating_point_figures()); },
      "The figures of an operating point, in the order of the columns of a sweep.");
  module.def(
      "half_bridge_point_figures", [] { return texts_of(gateswing::study::half_bridge_point_figures()); },
      "The figures of a half-bridge point, in the order of the columns of a sweep.");
  module.def("sweep", &sweep_cells, py::arg("cells"), py::arg("points"), py::arg("settings"), py::arg("threads"),
             py::arg("progress"),
             "Points by index of the cell, frequency [Hz] and duty, and the exception that ended them early or None. "
             "`progress` is called now and then with the rows of the points finished since, and their numbers.");
  module.def("half_bridge_sweep", &sweep_bridges, py::arg("cells"), py::arg("points"), py::arg("settings"),
             py::arg("threads"), py::arg("progress"),
             "As sweep(): points by index of the bridge, frequency [Hz], duty, dead time [s] and active switch.");
}
