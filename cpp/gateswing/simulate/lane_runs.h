// Many simulators carried on together: several on each core, as lanes of packs.
#pragma once

#include <cstddef>
#include <span>

#include "gateswing/simulate/lane_pack.h"

namespace gateswing::simulate {

/// Carries every run to its end, each with its own steps, on SharedLanes of each thread. What a lane cannot integrate,
/// a scalar solver finishes.
///
/// A run's numbers do not depend on the other runs, on their order, or on `threads`, or on the kernel, to the last
/// bit; with none (null: everything scalar) they differ within the tolerance. No simulator may occur twice.
/// Throws std::invalid_argument for settings that the integrator refuses, and what a recorder throws, once all other
/// runs have ended.
LaneUse advance_all(std::span<LaneRun> runs, const Settings& settings, std::size_t threads,
                    const lanes::Kernel* kernel);

}  // namespace gateswing::simulate
