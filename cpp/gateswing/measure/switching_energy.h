// Turn-on and turn-off energy inside the window of IEC 60747-8.
#pragma once

#include <cstddef>
#include <optional>

#include "gateswing/measure/window.h"

namespace gateswing::measure {

// What the window's limits are fractions of. IEC 60747-8 takes 0.1 of both; other definitions (2 %, 5 %) differ, and so
// do their joules: state which was used.
struct EnergyLimits {
  double voltage;           // v_DS in the off-state, V_DC [V]
  double current;           // i_D in the on-state, the test current [A]
  double voltage_fraction;  // of voltage
  double current_fraction;  // of current
};

// Definitions (IEC 60747-8:2010, 3.3.20, 3.3.21 and clauses 6.3.7, 6.3.8, as restated in application note GFM347
// v1.00 (2021), equations 4 and 5):
//   Eon   from i_D = 10 % of the test current, rising, to v_DS = 10 % of V_DC, falling
//   Eoff  from v_DS = 10 % of V_DC, rising, to i_D = 10 % of the test current, falling
// Of several crossings: the first fall of v_DS to its limit and the last rise of i_D before it; the beginning of the
// main transition of v_DS (from its limit to 1 - voltage_fraction) and the first fall of i_D after it. None if the
// limits are not crossed in that order, as when v_DS is gone before the current comes: then only the energy of the
// whole event, integral_of_product() over a window of one's own, has a meaning.
std::optional<Window> turn_on_energy_window(const waveform::Waveform& waveform, std::size_t drain_source,
                                            std::size_t drain_current, const EnergyLimits& limits, Window window);
std::optional<Window> turn_off_energy_window(const waveform::Waveform& waveform, std::size_t drain_source,
                                             std::size_t drain_current, const EnergyLimits& limits, Window window);

// The integral of v_DS i_D over those windows [J].
std::optional<double> turn_on_energy(const waveform::Waveform& waveform, std::size_t drain_source,
                                     std::size_t drain_current, const EnergyLimits& limits, Window window);
std::optional<double> turn_off_energy(const waveform::Waveform& waveform, std::size_t drain_source,
                                      std::size_t drain_current, const EnergyLimits& limits, Window window);

}  // namespace gateswing::measure
