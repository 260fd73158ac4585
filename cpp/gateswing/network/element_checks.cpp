#include "gateswing/network/element_checks.h"

#include <array>
#include <charconv>
#include <cmath>
#include <stdexcept>

namespace gateswing::network {
namespace {

/// The fewest digits that read back to the number.
std::string text(double value) {
  std::array<char, 32> buffer{};
  const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value).ptr;
  return {buffer.data(), end};
}

void require_law(const device::ConstantCapacitance<>& law, const std::string& element) {
  require_positive(law.capacitance, element, "capacitance [F]");
}

void require_law(const device::DepletionCapacitance<>& law, const std::string& element) {
  require_positive(law.zero_bias, element, "zero-bias capacitance [F]");
  require_positive(law.potential, element, "junction potential [V]");
  require(law.grading > 0.0 && law.grading < 1.0, element,
          "grading must lie between 0 and 1, got " + text(law.grading));
  require_not_negative(law.floor, element, "capacitance floor [F]");
  require(std::isfinite(law.ceiling) && law.ceiling > law.zero_bias, element,
          "capacitance ceiling [F] must be a finite number above the zero-bias capacitance, got " + text(law.ceiling));
}

void require_law(const device::StepCapacitance<>& law, const std::string& element) {
  require_not_negative(law.low, element, "capacitance below the step [F]");
  require_not_negative(law.high, element, "capacitance above the step [F]");
  require(law.low + law.high > 0.0, element, "the capacitance must not be zero on both sides of the step [F]");
  require_finite(law.centre, element, "centre of the capacitance step [V]");
  require_positive(law.width, element, "width of the capacitance step [V]");
}

}  // namespace

void require(bool condition, const std::string& element, const std::string& demand) {
  if (!condition) throw std::invalid_argument("element '" + element + "': " + demand);
}

void require_finite(double value, const std::string& element, const std::string& quantity) {
  require(std::isfinite(value), element, quantity + " must be a finite number, got " + text(value));
}

void require_positive(double value, const std::string& element, const std::string& quantity) {
  require(std::isfinite(value) && value > 0.0, element,
          quantity + " must be a finite number above zero, got " + text(value));
}

void require_not_negative(double value, const std::string& element, const std::string& quantity) {
  require(std::isfinite(value) && value >= 0.0, element,
          quantity + " must be a finite number, zero or positive, got " + text(value));
}

void require_valid(const CapacitanceLaw& law, const std::string& element) {
  std::visit([&](const auto& one) { require_law(one, element); }, law);
}

void require_valid(const device::JunctionDiode<>& law, const std::string& element) {
  require_not_negative(law.saturation_current, element, "saturation current [A]");
  require_positive(law.emission_voltage, element, "emission voltage [V]");
  require_not_negative(law.transit_time, element, "transit time [s]");
  if (law.transit_time > 0.0) require_positive(law.lifetime, element, "carrier lifetime [s]");
}

void require_valid(const device::KneeConduction<>& law, const std::string& element) {
  require_not_negative(law.knee_voltage, element, "knee voltage [V]");
  require_positive(law.slope_resistance, element, "slope resistance [ohm]");
  require_positive(law.knee_width, element, "knee width [V]");
}

void require_valid(const device::MosfetChannel<>& law, const std::string& element) {
  require_finite(law.threshold_voltage, element, "threshold voltage [V]");
  require_positive(law.transconductance_factor, element, "transconductance factor [A/V^2]");
  require_not_negative(law.mobility_degradation, element, "mobility degradation [1/V]");
  require_positive(law.subthreshold_voltage, element, "subthreshold voltage [V]");
}

void require_valid(const device::DriverOutput<>& law, const std::string& element) {
  require_positive(law.source_resistance, element, "source resistance [ohm]");
  require_positive(law.sink_resistance, element, "sink resistance [ohm]");
  require_not_negative(law.inverse_source_limit, element, "inverse source current limit [1/A]");
  require_not_negative(law.inverse_sink_limit, element, "inverse sink current limit [1/A]");
  require_not_negative(law.source_drop, element, "source drop [V]");
  require_not_negative(law.sink_drop, element, "sink drop [V]");
  require_positive(law.drop_width, element, "rounding of the drops [V]");
  require_not_negative(law.leakage_conductance, element, "leakage conductance [S]");
}

}  // namespace gateswing::network
