// The studies of a low-side cell: double pulse, operating point, with their answers as read-only classes.
#include <pybind11/functional.h>
#include <pybind11/native_enum.h>
#include <pybind11/numpy.h>
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include <utility>

#include "ask.h"
#include "fields.h"
#include "gateswing/study/double_pulse.h"
#include "gateswing/study/figures.h"

namespace py = pybind11;

namespace gateswing::bindings {
namespace {

using integrate::Statistics;
using network::EnergyEntry;
using simulate::PeriodicOutcome;
using simulate::Settings;
using study::DoublePulse;
using study::DoublePulseRequest;
using study::EdgeInstants;
using study::ElementEnergy;
using study::OperatingPoint;
using study::OperatingPointRequest;
using study::SteadyPeriod;
using study::Transient;
using study::TurnOffFigures;
using study::TurnOnFigures;

void bind_enumerations(py::module_& module) {
  py::native_enum<integrate::Status>(module, "Status", "enum.Enum", "How an integration ended.")
      .value("success", integrate::Status::success)
      .value("step_limit", integrate::Status::step_limit)
      .value("step_too_small", integrate::Status::step_too_small)
      .value("non_finite", integrate::Status::non_finite)
      .value("singular", integrate::Status::singular)
      .value("cancelled", integrate::Status::cancelled)
      .finalize();
  py::native_enum<network::EnergyKind>(module, "EnergyKind", "enum.Enum", "What became of an element's energy.")
      .value("delivered", network::EnergyKind::delivered)
      .value("dissipated", network::EnergyKind::dissipated)
      .value("stored", network::EnergyKind::stored)
      .finalize();
  py::native_enum<PeriodicOutcome>(module, "PeriodicOutcome", "enum.Enum", "Whether a steady state was found.")
      .value("periodic", PeriodicOutcome::periodic)
      .value("not_periodic", PeriodicOutcome::not_periodic)
      .value("unstable", PeriodicOutcome::unstable)
      .value("thermal_runaway", PeriodicOutcome::thermal_runaway)
      .value("ringing", PeriodicOutcome::ringing)
      .finalize();
}

void bind_requests(py::module_& module) {
  py::class_<Settings>(module, "Settings", "Accuracy and limits of a study.")
      .def(py::init<>())
      .def_readwrite("relative_tolerance", &Settings::relative_tolerance)
      .def_readwrite("maximum_steps", &Settings::maximum_steps);

  py::class_<DoublePulseRequest> pulse(module, "DoublePulseRequest", "Current and times; 0 chooses.");
  bind_fields(pulse, field("current", &DoublePulseRequest::current, "A"),
              field("on_time", &DoublePulseRequest::on_time, "s"),
              field("off_time", &DoublePulseRequest::off_time, "s"));

  py::class_<OperatingPointRequest> point(module, "OperatingPointRequest", "Frequency, duty and limits of the search.");
  bind_fields(point, field("frequency", &OperatingPointRequest::frequency, "Hz"),
              field("duty", &OperatingPointRequest::duty),
              field("periodicity_tolerance", &OperatingPointRequest::periodicity_tolerance),
              field("maximum_periods", &OperatingPointRequest::maximum_periods));
}

void bind_entries(py::module_& module) {
  py::class_<Statistics>(module, "Statistics", "Work of the integrator.")
      .def_readonly("steps", &Statistics::steps)
      .def_readonly("rejections", &Statistics::rejections)
      .def_readonly("residual_evaluations", &Statistics::residual_evaluations)
      .def_readonly("factorisations", &Statistics::factorisations);
  py::class_<EnergyEntry>(module, "EnergyEntry", "Energy of one element over a run.")
      .def_readonly("name", &EnergyEntry::element)
      .def_readonly("kind", &EnergyEntry::kind)
      .def_readonly("energy", &EnergyEntry::energy, "[J]");
  py::class_<ElementEnergy>(module, "ElementEnergy", "Energy and mean power of one element over a period.")
      .def_readonly("name", &ElementEnergy::element)
      .def_readonly("kind", &ElementEnergy::kind)
      .def_readonly("energy", &ElementEnergy::energy, "[J]")
      .def_readonly("power", &ElementEnergy::power, "[W]");
  py::class_<study::CauseEnergy>(module, "CauseEnergy", "What one element lost for one cause over a period.")
      .def_property_readonly("cause", [](const study::CauseEnergy& self) { return study::name(self.cause); })
      .def_readonly("element", &study::CauseEnergy::element)
      .def_readonly("energy", &study::CauseEnergy::energy, "[J]");
  py::class_<EdgeInstants>(module, "EdgeInstants", "Instants that the figures of an edge rest on [s].")
      .def_readonly("begin", &EdgeInstants::begin)
      .def_readonly("end", &EdgeInstants::end)
      .def_readonly("gate_time", &EdgeInstants::gate_time)
      .def_readonly("drain_begin", &EdgeInstants::drain_begin)
      .def_readonly("drain_end", &EdgeInstants::drain_end);
}

void bind_edges(py::module_& module) {
  py::class_<TurnOnFigures>(module, "TurnOn", "Figures of a turn-on.")
      .def_readonly("instants", &TurnOnFigures::instants)
      .def_readonly("delay", &TurnOnFigures::delay, "[s]")
      .def_readonly("rise_time", &TurnOnFigures::rise_time, "[s]")
      .def_readonly("energy", &TurnOnFigures::energy, "[J]")
      .def_readonly("total_energy", &TurnOnFigures::total_energy, "[J]")
      .def_readonly("channel_heat", &TurnOnFigures::channel_heat, "[J]")
      .def_readonly("peak_drain_current", &TurnOnFigures::peak_drain_current, "[A]")
      .def_readonly("peak_gate_voltage", &TurnOnFigures::peak_gate_voltage, "[V]")
      .def_readonly("peak_gate_voltage_pin", &TurnOnFigures::peak_gate_voltage_pin, "[V]")
      .def_readonly("maximum_voltage_slope", &TurnOnFigures::maximum_voltage_slope, "[V/s]")
      .def_readonly("maximum_current_slope", &TurnOnFigures::maximum_current_slope, "[A/s]")
      .def_readonly("plateau_voltage", &TurnOnFigures::plateau_voltage, "[V]")
      .def_readonly("gate_charge", &TurnOnFigures::gate_charge, "[C]")
      .def_readonly("peak_driver_current", &TurnOnFigures::peak_driver_current, "[A]");
  py::class_<TurnOffFigures>(module, "TurnOff", "Figures of a turn-off.")
      .def_readonly("instants", &TurnOffFigures::instants)
      .def_readonly("delay", &TurnOffFigures::delay, "[s]")
      .def_readonly("fall_time", &TurnOffFigures::fall_time, "[s]")
      .def_readonly("energy", &TurnOffFigures::energy, "[J]")
      .def_readonly("total_energy", &TurnOffFigures::total_energy, "[J]")
      .def_readonly("channel_heat", &TurnOffFigures::channel_heat, "[J]")
      .def_readonly("current", &TurnOffFigures::current, "[A]")
      .def_readonly("peak_drain_voltage", &TurnOffFigures::peak_drain_voltage, "[V]")
      .def_readonly("peak_drain_voltage_pin", &TurnOffFigures::peak_drain_voltage_pin, "[V]")
      .def_readonly("overshoot", &TurnOffFigures::overshoot, "[V]")
      .def_readonly("minimum_gate_voltage", &TurnOffFigures::minimum_gate_voltage, "[V]")
      .def_readonly("minimum_gate_voltage_pin", &TurnOffFigures::minimum_gate_voltage_pin, "[V]")
      .def_readonly("maximum_voltage_slope", &TurnOffFigures::maximum_voltage_slope, "[V/s]")
      .def_readonly("maximum_current_slope", &TurnOffFigures::maximum_current_slope, "[A/s]")
      .def_readonly("plateau_voltage", &TurnOffFigures::plateau_voltage, "[V]")
      .def_readonly("peak_driver_current", &TurnOffFigures::peak_driver_current, "[A]")
      .def_readonly("ring_frequency", &TurnOffFigures::ring_frequency, "[Hz]")
      .def_readonly("ring_decay_time", &TurnOffFigures::ring_decay_time, "[s]")
      .def_readonly("ring_quality", &TurnOffFigures::ring_quality);
}

/// What further files bind the rest of.
void bind_bases(py::module_& module) {
  py::class_<Transient>(module, "Transient", "What every study of a single transient brings.")
      .def_readonly("status", &Transient::status)
      .def_readonly("message", &Transient::message)
      .def_property_readonly("ledger", [](const Transient& self) { return self.ledger.entries; })
      .def_property_readonly("energy_residual", [](const Transient& self) { return self.ledger.energy_residual; })
      .def_property_readonly("charge_residual", [](const Transient& self) { return self.ledger.charge_residual; })
      .def_readonly("statistics", &Transient::statistics)
      .def_readonly("waveform", &Transient::waveform);
  py::class_<SteadyPeriod>(module, "SteadyPeriod", "What every study of a steady state brings.")
      .def_readonly("status", &SteadyPeriod::status)
      .def_readonly("message", &SteadyPeriod::message)
      .def_readonly("outcome", &SteadyPeriod::outcome)
      .def_readonly("runaway", &SteadyPeriod::runaway, "Name of the temperature that runs away, else empty.")
      .def_readonly("frequency", &SteadyPeriod::frequency, "[Hz]")
      .def_readonly("periods", &SteadyPeriod::periods)
      .def_readonly("periodicity_residual", &SteadyPeriod::periodicity_residual)
      .def_readonly("corrections", &SteadyPeriod::corrections)
      .def_readonly("largest_multiplier", &SteadyPeriod::largest_multiplier)
      .def_readonly("thermal_gain", &SteadyPeriod::thermal_gain)
      .def_readonly("ledger", &SteadyPeriod::ledger)
      .def_readonly("causes", &SteadyPeriod::causes)
      .def_readonly("energy_residual", &SteadyPeriod::energy_residual)
      .def_readonly("charge_residual", &SteadyPeriod::charge_residual)
      .def_readonly("statistics", &SteadyPeriod::statistics)
      .def_readonly("waveform", &SteadyPeriod::waveform);
}

void bind_answers(py::module_& module) {
  py::class_<DoublePulse, Transient>(module, "DoublePulse", "One turn-on and one turn-off.")
      .def_readonly("current", &DoublePulse::current, "[A]")
      .def_readonly("on_time", &DoublePulse::on_time, "[s]")
      .def_readonly("off_time", &DoublePulse::off_time, "[s]")
      .def_readonly("turn_on", &DoublePulse::turn_on)
      .def_readonly("turn_off", &DoublePulse::turn_off);
  py::class_<OperatingPoint, SteadyPeriod> point(module, "OperatingPoint", "A cell in steady state.");
  point.def_readonly("duty", &OperatingPoint::duty)
      .def_readonly("turn_on", &OperatingPoint::turn_on)
      .def_readonly("turn_off", &OperatingPoint::turn_off);
  for (const auto& figure : study::operating_point_figures()) {
    const std::string meaning = std::string("[") + figure.unit + "] " + figure.meaning;
    point.def_property_readonly(figure.name.c_str(), py::cpp_function(figure.read), meaning.c_str());
  }
}

}  // namespace
}  // namespace gateswing::bindings

void bind_study(py::module_& module) {
  using namespace gateswing::bindings;
  bind_enumerations(module);
  bind_requests(module);
  bind_entries(module);
  bind_edges(module);
  bind_bases(module);
  bind_answers(module);
  module.def(
      "double_pulse",
      [](const gateswing::network::LowSideCell& cell, const DoublePulseRequest& request, const Settings& settings) {
        return ask(gateswing::study::double_pulse, settings, cell, request);
      },
      py::arg("cell"), py::arg("request"), py::arg("settings"), "One turn-on and one turn-off.");
  module.def(
      "operating_point",
      [](const gateswing::network::LowSideCell& cell, const OperatingPointRequest& request, const Settings& settings) {
        const auto study = [](const auto&... asked) { return gateswing::study::operating_point(asked...); };
        return ask(study, settings, cell, request);
      },
      py::arg("cell"), py::arg("request"), py::arg("settings"), "A cell in steady state.");
}
