// The device laws: their parameters as plain classes, and the laws as functions over numpy arrays.
#include <pybind11/numpy.h>
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>
#include <pybind11/typing.h>

#include "fields.h"
#include "gateswing/device/capacitance.h"
#include "gateswing/device/driver_output.h"
#include "gateswing/device/junction_diode.h"
#include "gateswing/device/knee_conduction.h"
#include "gateswing/device/mosfet.h"
#include "gateswing/device/mosfet_channel.h"
#include "gateswing/device/temperature.h"

namespace py = pybind11;

namespace gateswing::bindings {
namespace {

using device::ConstantCapacitance;
using device::DepletionCapacitance;
using device::DiodeTemperature;
using device::DriverOutput;
using device::JunctionDiode;
using device::KneeConduction;
using device::Mosfet;
using device::MosfetChannel;
using device::MosfetTemperature;
using device::StepCapacitance;
using device::Warming;
using Array = py::array_t<double, py::array::forcecast>;
using Values = py::typing::Union<double, py::array_t<double>>;  // a number for numbers, else an array

void bind_capacitances(py::module_& module) {
  py::class_<ConstantCapacitance<>> constant(module, "ConstantCapacitance", "Capacitance that is the same everywhere.");
  bind_fields(constant, field("capacitance", &ConstantCapacitance<>::capacitance, "F"));

  py::class_<DepletionCapacitance<>> depletion(module, "DepletionCapacitance",
                                               "Junction capacitance, blocking for positive voltage.");
  bind_fields(depletion, field("zero_bias", &DepletionCapacitance<>::zero_bias, "F"),
              field("potential", &DepletionCapacitance<>::potential, "V"),
              field("grading", &DepletionCapacitance<>::grading), field("floor", &DepletionCapacitance<>::floor, "F"),
              field("ceiling", &DepletionCapacitance<>::ceiling, "F"));

  py::class_<StepCapacitance<>> step(module, "StepCapacitance", "Smooth step between two capacitances.");
  bind_fields(step, field("low", &StepCapacitance<>::low, "F"), field("high", &StepCapacitance<>::high, "F"),
              field("centre", &StepCapacitance<>::centre, "V"), field("width", &StepCapacitance<>::width, "V"));
}

void bind_conduction(py::module_& module) {
  py::class_<MosfetChannel<>> channel(module, "MosfetChannel", "Channel of an N-channel MOSFET.");
  bind_fields(channel, field("threshold_voltage", &MosfetChannel<>::threshold_voltage, "V"),
              field("transconductance_factor", &MosfetChannel<>::transconductance_factor, "A/V^2"),
              field("mobility_degradation", &MosfetChannel<>::mobility_degradation, "1/V"),
              field("subthreshold_voltage", &MosfetChannel<>::subthreshold_voltage, "V"));

  py::class_<JunctionDiode<>> diode(module, "JunctionDiode", "Exponential diode with charge-control recovery.");
  bind_fields(diode, field("saturation_current", &JunctionDiode<>::saturation_current, "A"),
              field("emission_voltage", &JunctionDiode<>::emission_voltage, "V"),
              field("transit_time", &JunctionDiode<>::transit_time, "s"),
              field("lifetime", &JunctionDiode<>::lifetime, "s"));

  py::class_<KneeConduction<>> knee(module, "KneeConduction", "Resistance beyond a rounded knee voltage.");
  bind_fields(knee, field("knee_voltage", &KneeConduction<>::knee_voltage, "V"),
              field("slope_resistance", &KneeConduction<>::slope_resistance, "ohm"),
              field("knee_width", &KneeConduction<>::knee_width, "V"));

  py::class_<DriverOutput<>> driver(module, "DriverOutput", "Push-pull output with drops and current limits.");
  bind_fields(driver, field("source_resistance", &DriverOutput<>::source_resistance, "ohm"),
              field("sink_resistance", &DriverOutput<>::sink_resistance, "ohm"),
              field("inverse_source_limit", &DriverOutput<>::inverse_source_limit, "1/A"),
              field("inverse_sink_limit", &DriverOutput<>::inverse_sink_limit, "1/A"),
              field("source_drop", &DriverOutput<>::source_drop, "V"),
              field("sink_drop", &DriverOutput<>::sink_drop, "V"),
              field("drop_width", &DriverOutput<>::drop_width, "V"),
              field("leakage_conductance", &DriverOutput<>::leakage_conductance, "S"));
}

void bind_mosfet(py::module_& module) {
  py::class_<Mosfet<>> mosfet(module, "Mosfet", "N-channel power MOSFET in its package.");
  bind_fields(mosfet, field("channel", &Mosfet<>::channel), field("gate_source", &Mosfet<>::gate_source),
              field("gate_drain", &Mosfet<>::gate_drain), field("drain_source", &Mosfet<>::drain_source),
              field("gate_drain_step", &Mosfet<>::gate_drain_step),
              field("drain_source_step", &Mosfet<>::drain_source_step),
              field("internal_gate_resistance", &Mosfet<>::internal_gate_resistance, "ohm"),
              field("drift_resistance", &Mosfet<>::drift_resistance, "ohm"),
              field("gate_inductance", &Mosfet<>::gate_inductance, "H"),
              field("drain_inductance", &Mosfet<>::drain_inductance, "H"),
              field("source_inductance", &Mosfet<>::source_inductance, "H"), field("body_diode", &Mosfet<>::body_diode),
              field("breakdown", &Mosfet<>::breakdown));
}

void bind_temperature(py::module_& module) {
  py::class_<Warming<>> warming(module, "Warming", "Temperature the parameters were stated for, and of the junction.");
  bind_fields(warming, field("stated", &Warming<>::stated, "K"), field("junction", &Warming<>::junction, "K"));

  py::class_<MosfetTemperature<>> mosfet(module, "MosfetTemperature", "Temperature coefficients of a MOSFET.");
  bind_fields(mosfet, field("threshold_slope", &MosfetTemperature<>::threshold_slope, "V/K"),
              field("mobility_exponent", &MosfetTemperature<>::mobility_exponent),
              field("drift_exponent", &MosfetTemperature<>::drift_exponent),
              field("breakdown_slope", &MosfetTemperature<>::breakdown_slope, "V/K"));

  py::class_<DiodeTemperature<>> diode(module, "DiodeTemperature", "Temperature coefficients of a diode.");
  bind_fields(diode, field("barrier_voltage", &DiodeTemperature<>::barrier_voltage, "V"),
              field("current_exponent", &DiodeTemperature<>::current_exponent),
              field("lifetime_exponent", &DiodeTemperature<>::lifetime_exponent));

  module.def("mosfet_at_temperature",
             py::overload_cast<Mosfet<>, const MosfetTemperature<>&, const DiodeTemperature<>&, const Warming<>&>(
                 &device::at_temperature<double>),
             py::arg("mosfet"), py::arg("coefficients"), py::arg("body_diode"), py::arg("warming"),
             "The MOSFET at another junction temperature.");
  module.def(
      "diode_at_temperature",
      py::overload_cast<JunctionDiode<>, const DiodeTemperature<>&, const Warming<>&>(&device::at_temperature<double>),
      py::arg("diode"), py::arg("coefficients"), py::arg("warming"), "The diode law at another junction temperature.");
}

/// A law of one voltage as a function of an array of them.
template <class Law>
void bind_law(py::module_& module, const char* name, double (*value)(const Law&, const double&),
              const char* description) {
  module.def(
      name,
      [value](const Law& law, const Array& voltage) -> Values {
        return py::vectorize([&law, value](double v) { return value(law, v); })(voltage);
      },
      py::arg("law"), py::arg("voltage"), description);
}

template <class Law>
void bind_capacitance_functions(py::module_& module) {
  bind_law<Law>(module, "capacitance", &device::capacitance, "Capacitance [F] at the voltage [V].");
  bind_law<Law>(module, "charge", &device::charge, "Charge [C] from 0 to the voltage [V].");
  bind_law<Law>(module, "stored_energy", &device::stored_energy, "Energy [J] stored from 0 to the voltage [V].");
}

void bind_diode_functions(py::module_& module) {
  bind_law<JunctionDiode<>>(module, "diode_current", &device::diode_current,
                            "Static current [A] at the junction voltage [V].");
  module.def(
      "recovery_current",
      [](const JunctionDiode<>& law, const Array& voltage, const Array& stored_charge_current) -> Values {
        return py::vectorize([&law](double v, double y) { return device::recovery_current(law, v, y); })(
            voltage, stored_charge_current);
      },
      py::arg("law"), py::arg("voltage"), py::arg("stored_charge_current"),
      "Current [A] at the junction voltage [V] and the stored charge over the lifetime [A]; transit_time > 0.");
  module.def("saturation_current_for", &device::saturation_current_for<double>, py::arg("forward_voltage"),
             py::arg("forward_current"), py::arg("series_resistance"), py::arg("emission_voltage"),
             "Saturation current [A] that gives the forward voltage [V] at the forward current [A] behind the series "
             "resistance [ohm], for an emission voltage [V].");
}

void bind_other_currents(py::module_& module) {
  module.def(
      "channel_current",
      [](const MosfetChannel<>& law, const Array& gate_source_voltage, const Array& drain_source_voltage) -> Values {
        return py::vectorize([&law](double v_gs, double v_ds) { return device::channel_current(law, v_gs, v_ds); })(
            gate_source_voltage, drain_source_voltage);
      },
      py::arg("law"), py::arg("gate_source_voltage"), py::arg("drain_source_voltage"),
      "Drain current [A] of the channel at its gate-source and drain-source voltages [V].");
  bind_law<KneeConduction<>>(module, "knee_current", &device::knee_current, "Current [A] at the voltage [V].");
  module.def(
      "driver_current",
      [](const DriverOutput<>& law, const Array& up, const Array& down, const Array& command) -> Values {
        return py::vectorize([&law](double v_up, double v_down, double a) {
          return device::driver_current(law, v_up, v_down, a);
        })(up, down, command);
      },
      py::arg("law"), py::arg("up"), py::arg("down"), py::arg("command"),
      "Current [A] out of the output; `up` from output to supply [V], `down` from reference to output [V], command 0 "
      "(sinks) to 1 (sources).");
}

}  // namespace
}  // namespace gateswing::bindings

void bind_device(py::module_& module) {
  using namespace gateswing::bindings;
  bind_capacitances(module);
  bind_conduction(module);
  bind_mosfet(module);
  bind_temperature(module);
  bind_capacitance_functions<ConstantCapacitance<>>(module);
  bind_capacitance_functions<DepletionCapacitance<>>(module);
  bind_capacitance_functions<StepCapacitance<>>(module);
  bind_diode_functions(module);
  bind_other_currents(module);
}
