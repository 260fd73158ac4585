// How accurately and how long a study may compute.
#pragma once

#include <atomic>

#include "gateswing/integrate/settings.h"

namespace gateswing::simulate {

class RunCarrier;

struct Settings {
  double relative_tolerance = 1e-6;  ///< of every state per step; the absolute one is this times 1 V or 1 A [1]
  long maximum_steps = 2'000'000;    ///< per interval between two events
  /// When it turns true the run ends with status cancelled, within one step, or a few hundred on lanes; may be null.
  const std::atomic<bool>* cancelled = nullptr;
  /// Carries every run where not null; only for work that it calls itself.
  RunCarrier* lanes = nullptr;

  [[nodiscard]] bool is_cancelled() const { return cancelled != nullptr && cancelled->load(std::memory_order_relaxed); }
};

/// What they ask of the integrator, whichever does the run.
inline integrate::Settings integrator_settings(const Settings& settings) {
  return {.relative_tolerance = settings.relative_tolerance,
          .absolute_tolerance = settings.relative_tolerance,
          .maximum_steps = settings.maximum_steps};
}

}  // namespace gateswing::simulate
