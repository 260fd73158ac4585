// How accurately and how long a study may compute.
#pragma once

#include <atomic>

namespace gateswing::study {

class SharedLanes;

struct Settings {
  double relative_tolerance = 1e-6;  ///< of every state per step; the absolute one is this times 1 V or 1 A [1]
  long maximum_steps = 2'000'000;    ///< per interval between two events
  /// When it turns true the run ends within one step with status cancelled; may be null.
  const std::atomic<bool>* cancelled = nullptr;
  /// Every run is a lane of these where not null; only for work that they call themselves.
  SharedLanes* lanes = nullptr;
};

}  // namespace gateswing::study
