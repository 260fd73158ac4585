// Steps of packs, built once for each instruction set and chosen at run time.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "gateswing/lanes/plan.h"

namespace gateswing::lanes {

struct Tolerance {
  double relative = 1e-6;
  double absolute = 1e-6;  ///< [V] or [A]
  double attempts = 1e6;   ///< of one lane, accepted or not, before it counts as failed
};

/// What stopped a pack. Bit i is lane i.
struct PackOutcome {
  unsigned finished = 0;  ///< reached the end of the segment
  unsigned failed = 0;    ///< cannot go on; time and state are those of the last accepted step
  unsigned accepted = 0;  ///< of the recorded lanes, those with a new step
  int attempts = 0;       ///< of the pack
  long lane_steps = 0;    ///< attempts times running lanes
};

/// Steps of one lane by their ends, in time since its segment began [s].
struct StepEnds {
  const double* given = nullptr;  ///< taken as they are, without error test, to the end of the segment; null: chosen
  double* taken = nullptr;        ///< gets those of the accepted steps; may be null
};

/// Advances the pack in `memory`, Layout::size packs of doubles aligned to 64 bytes, by the method that belongs
/// to the tolerance. `ends` are those of each lane.
using PackAdvance = PackOutcome (*)(const Plan& plan, double* memory, const Tolerance& tolerance, const StepEnds* ends,
                                    unsigned running, unsigned recorded, int attempts);

struct Kernel {
  int width;  ///< lanes
  const char* instructions;
  PackAdvance advance;
  double attempt_time;  ///< of a pack, about, in those of the scalar solver's step
};

/// The kernels that this machine can run, widest first; none on a machine without AVX2. A lane's numbers are the same
/// on all of them, to the last bit.
const std::vector<Kernel>& kernels();

/// The one that carries so many runs in the least time; null if there is none.
const Kernel* kernel_for(std::span<const Kernel> kernels, std::size_t runs);

}  // namespace gateswing::lanes
