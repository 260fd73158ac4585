// The IEC 60747-8 energy windows and the integrals over them.
#include "gateswing/measure/switching_energy.h"

#include "gateswing/measure/crossing.h"
#include "gateswing/measure/integral.h"

namespace gateswing::measure {

std::optional<Window> turn_on_energy_window(const waveform::Waveform& waveform, std::size_t drain_source,
                                            std::size_t drain_current, const EnergyLimits& limits, Window window) {
  const double voltage_limit = limits.voltage_fraction * limits.voltage;
  const double current_limit = limits.current_fraction * limits.current;
  const std::optional<double> end = first_crossing(waveform, drain_source, voltage_limit, Direction::falling, window);
  if (!end) return std::nullopt;
  const std::optional<double> begin =
      last_crossing(waveform, drain_current, current_limit, Direction::rising, {window.begin, *end});
  if (!begin) return std::nullopt;
  return Window{*begin, *end};
}

std::optional<Window> turn_off_energy_window(const waveform::Waveform& waveform, std::size_t drain_source,
                                             std::size_t drain_current, const EnergyLimits& limits, Window window) {
  const double voltage_limit = limits.voltage_fraction * limits.voltage;
  const double current_limit = limits.current_fraction * limits.current;
  const std::optional<Window> rise =
      main_transition(waveform, drain_source, voltage_limit, limits.voltage - voltage_limit, window);
  if (!rise) return std::nullopt;
  const std::optional<double> end =
      first_crossing(waveform, drain_current, current_limit, Direction::falling, {rise->begin, window.end});
  if (!end) return std::nullopt;
  return Window{rise->begin, *end};
}

std::optional<double> turn_on_energy(const waveform::Waveform& waveform, std::size_t drain_source,
                                     std::size_t drain_current, const EnergyLimits& limits, Window window) {
  const auto inside = turn_on_energy_window(waveform, drain_source, drain_current, limits, window);
  if (!inside) return std::nullopt;
  return integral_of_product(waveform, drain_source, drain_current, *inside);
}

std::optional<double> turn_off_energy(const waveform::Waveform& waveform, std::size_t drain_source,
                                      std::size_t drain_current, const EnergyLimits& limits, Window window) {
  const auto inside = turn_off_energy_window(waveform, drain_source, drain_current, limits, window);
  if (!inside) return std::nullopt;
  return integral_of_product(waveform, drain_source, drain_current, *inside);
}

}  // namespace gateswing::measure
