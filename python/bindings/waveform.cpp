// The waveform as a read-only Python object whose arrays are views of its own memory.
#include "gateswing/waveform/waveform.h"

#include <pybind11/numpy.h>
#include <pybind11/operators.h>
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>
#include <pybind11/stl/filesystem.h>
#include <pybind11/typing.h>

#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "gateswing/waveform/csv.h"

namespace py = pybind11;

namespace gateswing::bindings {
namespace {

using waveform::Channel;
using waveform::Waveform;
using Array = py::array_t<double, py::array::c_style | py::array::forcecast>;
using Values = py::typing::Union<double, py::array_t<double>>;  // a number for a number, else an array

// The array keeps its owner alive. A waveform never changes once Python has it, so the memory stays where it is.
Array view(std::span<const double> values, const py::object& owner) {
  Array array(static_cast<py::ssize_t>(values.size()), values.data(), owner);
  array.attr("flags").attr("writeable") = false;
  return array;
}

std::span<const double> span_of(const Array& array) {
  return {array.data(), static_cast<std::size_t>(array.size())};
}

std::vector<double> copy_of(const Array& array) {
  return {array.data(), array.data() + array.size()};
}

Waveform from_samples(const std::vector<Channel>& channels, const Array& times, const std::vector<Array>& values) {
  std::vector<std::span<const double>> columns;
  columns.reserve(values.size());
  for (const Array& column : values) columns.push_back(span_of(column));
  return Waveform::from_samples(channels, span_of(times), columns);
}

Waveform from_nodes(const std::vector<Channel>& channels, std::size_t degree, const Array& times,
                    const std::vector<Array>& values) {
  std::vector<std::vector<double>> columns;
  columns.reserve(values.size());
  for (const Array& column : values) columns.push_back(copy_of(column));
  return Waveform::from_nodes(channels, degree, copy_of(times), std::move(columns));
}

py::tuple state(const Waveform& self) {
  py::list values;
  for (std::size_t c = 0; c < self.channels().size(); ++c) {
    values.append(Array(static_cast<py::ssize_t>(self.values(c).size()), self.values(c).data()));
  }
  const Array times(static_cast<py::ssize_t>(self.times().size()), self.times().data());
  return py::make_tuple(self.channels(), self.degree(), times, values);
}

Waveform from_state(const py::tuple& state) {
  return from_nodes(state[0].cast<std::vector<Channel>>(), state[1].cast<std::size_t>(), state[2].cast<Array>(),
                    state[3].cast<std::vector<Array>>());
}

void bind_channel(py::module_& module) {
  py::class_<Channel>(module, "Channel", "Name and SI unit of one recorded quantity.")
      .def(py::init<std::string, std::string>(), py::arg("name"), py::arg("unit"))
      .def_readonly("name", &Channel::name)
      .def_readonly("unit", &Channel::unit)
      .def(py::self == py::self)
      .def("__repr__", [](const Channel& self) { return self.name + " [" + self.unit + "]"; })
      .def(py::pickle(
          [](const Channel& self) { return py::make_tuple(self.name, self.unit); },
          [](const py::tuple& state) { return Channel{state[0].cast<std::string>(), state[1].cast<std::string>()}; }));
}

void bind_construction(py::class_<Waveform>& type) {
  type.def_static("from_samples", &from_samples, py::arg("channels"), py::arg("times"), py::arg("values"),
                  "Straight lines between samples: times [s] that increase, and an array of values for each channel.");
  type.def_static("from_nodes", &from_nodes, py::arg("channels"), py::arg("degree"), py::arg("times"),
                  py::arg("values"), "The inverse of `times` and `values`, an array for each channel.");
  type.def_static("read_csv", py::overload_cast<const std::filesystem::path&>(&waveform::read_csv), py::arg("path"),
                  "Reads what `write_csv` wrote.");
  type.def(
      "write_csv", [](const Waveform& self, const std::filesystem::path& path) { waveform::write_csv(self, path); },
      py::arg("path"), "Writes all nodes as text, with the digits that read back exactly.");
  type.def(py::self == py::self);
  type.def(py::pickle(&state, &from_state));
}

void bind_record(py::class_<Waveform>& type) {
  type.def_property_readonly("channels", &Waveform::channels);
  type.def_property_readonly("degree", &Waveform::degree, "Degree of the polynomial in each step.");
  type.def_property_readonly("steps", &Waveform::steps, "Number of steps.");
  type.def_property_readonly("begin", &Waveform::begin, "First time [s].");
  type.def_property_readonly("end", &Waveform::end, "Last time [s].");
  type.def_property_readonly(
      "times", [](const py::object& self) { return view(self.cast<const Waveform&>().times(), self); },
      "Times [s] of all nodes, degree + 1 for each step; the time of a joint appears twice.");
  type.def(
      "values",
      [](const py::object& self, const std::string& channel) {
        const auto& waveform = self.cast<const Waveform&>();
        return view(waveform.values(waveform.channel(channel)), self);
      },
      py::arg("channel"), "Values of a channel at `times`.");
}

void bind_reading(py::class_<Waveform>& type) {
  type.def(
      "value",
      [](const Waveform& self, const std::string& channel, const Array& time) -> Values {
        return py::vectorize([&self, index = self.channel(channel)](double t) { return self.value(index, t); })(time);
      },
      py::arg("channel"), py::arg("time"), "Value of a channel at any time [s]; at a jump, the value after it.");
  type.def(
      "derivative",
      [](const Waveform& self, const std::string& channel, const Array& time) -> Values {
        return py::vectorize([&self, index = self.channel(channel)](double t) { return self.derivative(index, t); })(
            time);
      },
      py::arg("channel"), py::arg("time"), "Slope of a channel [unit/s] at any time [s].");
  type.def(
      "resample",
      [](const Waveform& self, const std::string& channel, const Array& times) {
        Array values(times.size());
        self.resample(self.channel(channel), span_of(times), {values.mutable_data(), span_of(times).size()});
        return values;
      },
      py::arg("channel"), py::arg("times"), "Values of a channel at a row of times [s]; fastest when they ascend.");
}

}  // namespace
}  // namespace gateswing::bindings

void bind_waveform(py::module_& module) {
  using namespace gateswing::bindings;
  bind_channel(module);
  py::class_<Waveform> type(module, "Waveform", "Recorded channels over time, a polynomial in each step; read-only.");
  bind_construction(type);
  bind_record(type);
  bind_reading(type);
}
