// Many simulators carried on together: several on each core, as lanes of packs.
#pragma once

#include <cstddef>
#include <span>

#include "gateswing/lanes/kernel.h"
#include "gateswing/study/simulator.h"

namespace gateswing::study {

/// What Simulator::advance(end, settings, recorder) is asked of one simulator, and what it brought.
struct LaneRun {
  Simulator* simulator = nullptr;
  double end = 0.0;              ///< [s]
  Recorder* recorder = nullptr;  ///< may be null
  Interval interval{};           ///< the answer
};

/// How well the lanes were used.
struct LaneUse {
  long slots = 0;        ///< attempts of all packs times their lanes
  long steps = 0;        ///< of these, attempts of a running lane
  long scalar_runs = 0;  ///< runs that a scalar solver began or finished

  LaneUse& operator+=(const LaneUse& other);
  [[nodiscard]] double occupancy() const {
    return slots > 0 ? static_cast<double>(steps) / static_cast<double>(slots) : 0.0;
  }
};

/// Advances every simulator to its end, each at its own steps. Simulators of equal structure share packs; a lane that
/// ends is given the next run. What a lane cannot integrate, a scalar solver finishes.
///
/// A run's numbers do not depend on the other runs, on their order, or on `threads`, to the last bit; with another
/// kernel, or none (null: everything scalar), they differ within the tolerance. No simulator may occur twice.
/// Throws std::invalid_argument for settings that the integrator refuses, and what a recorder throws.
LaneUse advance_all(std::span<LaneRun> runs, const Settings& settings, std::size_t threads,
                    const lanes::Kernel* kernel);

/// The fastest kernel of this machine; null if there is none.
const lanes::Kernel* fastest_kernel();

}  // namespace gateswing::study
