#include "gateswing/network/element_checks.h"

#include <cmath>
#include <stdexcept>

namespace gateswing::network {
namespace {

void require_law(const device::ConstantCapacitance<>& law, std::string_view element) {
  require_positive(law.capacitance, element, "capacitance [F]");
}

void require_law(const device::DepletionCapacitance<>& law, std::string_view element) {
  require_positive(law.zero_bias, element, "zero-bias capacitance [F]");
  require_positive(law.potential, element, "junction potential [V]");
  const bool between = law.grading > 0.0 && law.grading < 1.0;
  if (!between) refuse(law.grading, element, "grading", "between 0 and 1");
  require_not_negative(law.floor, element, "capacitance floor [F]");
  if (!std::isfinite(law.ceiling) || !(law.ceiling > law.zero_bias))
    refuse(law.ceiling, element, "capacitance ceiling [F]", "a finite number above the zero-bias capacitance");
}

void require_law(const device::StepCapacitance<>& law, std::string_view element) {
  require_not_negative(law.low, element, "capacitance below the step [F]");
  require_not_negative(law.high, element, "capacitance above the step [F]");
  require(law.low + law.high > 0.0, element, "the capacitance must not be zero on both sides of the step [F]");
  require_finite(law.centre, element, "centre of the capacitance step [V]");
  require_positive(law.width, element, "width of the capacitance step [V]");
}

}  // namespace

void require(bool condition, std::string_view element, std::string_view demand) {
  if (!condition) throw std::invalid_argument("element '" + std::string(element) + "': " + std::string(demand));
}

void require_valid(const CapacitanceLaw& law, std::string_view element) {
  std::visit([&](const auto& one) { require_law(one, element); }, law);
}

void require_valid(const device::JunctionDiode<>& law, std::string_view element) {
  require_not_negative(law.saturation_current, element, "saturation current [A]");
  require_positive(law.emission_voltage, element, "emission voltage [V]");
  require_not_negative(law.transit_time, element, "transit time [s]");
  if (law.transit_time > 0.0) require_positive(law.lifetime, element, "carrier lifetime [s]");
}

void require_valid(const device::KneeConduction<>& law, std::string_view element) {
  require_not_negative(law.knee_voltage, element, "knee voltage [V]");
  require_positive(law.slope_resistance, element, "slope resistance [ohm]");
  require_positive(law.knee_width, element, "knee width [V]");
}

void require_valid(const device::MosfetChannel<>& law, std::string_view element) {
  require_finite(law.threshold_voltage, element, "threshold voltage [V]");
  require_positive(law.transconductance_factor, element, "transconductance factor [A/V^2]");
  require_not_negative(law.mobility_degradation, element, "mobility degradation [1/V]");
  require_positive(law.subthreshold_voltage, element, "subthreshold voltage [V]");
}

void require_valid(const device::DriverOutput<>& law, std::string_view element) {
  require_positive(law.source_resistance, element, "source resistance [ohm]");
  require_positive(law.sink_resistance, element, "sink resistance [ohm]");
  require_not_negative(law.inverse_source_limit, element, "inverse source current limit [1/A]");
  require_not_negative(law.inverse_sink_limit, element, "inverse sink current limit [1/A]");
  require_not_negative(law.source_drop, element, "source drop [V]");
  require_not_negative(law.sink_drop, element, "sink drop [V]");
  require_positive(law.drop_width, element, "rounding of the drops [V]");
  require_not_negative(law.leakage_conductance, element, "leakage conductance [S]");
}

void require_valid(const device::Mosfet<>& mosfet, const std::string& prefix) {
  require_valid(mosfet.channel, prefix + names::channel);
  require_valid(mosfet.body_diode, prefix + names::body_diode);
  require_valid(mosfet.breakdown, prefix + names::breakdown);
  require_valid(CapacitanceLaw(mosfet.gate_source), prefix + names::gate_source_capacitance);
  require_valid(CapacitanceLaw(mosfet.gate_drain), prefix + names::gate_drain_capacitance);
  require_valid(CapacitanceLaw(mosfet.drain_source), prefix + names::drain_source_capacitance);
  if (mosfet.gate_drain_step)
    require_valid(CapacitanceLaw(*mosfet.gate_drain_step), prefix + names::gate_drain_step_capacitance);
  if (mosfet.drain_source_step)
    require_valid(CapacitanceLaw(*mosfet.drain_source_step), prefix + names::drain_source_step_capacitance);
  require_not_negative(mosfet.drift_resistance, prefix + names::drift_region, "resistance [ohm]");
}

}  // namespace gateswing::network
