// Adaptive integration of M(x) x' = f(x, t) over one smooth segment. The system's contract is in rosenbrock_step.h.
#pragma once

#include <type_traits>

#include "gateswing/integrate/settings.h"
#include "gateswing/integrate/status.h"
#include "gateswing/integrate/stepper.h"
#include "gateswing/integrate/tableau.h"

namespace gateswing::integrate {

// Carries x from t0 to exactly t1 >= t0. On any status but success x is the last accepted state, at Outcome::time.
// observer(const DenseStep<Vector>&, const Integrals&) sees every accepted step with the increments of the quadratures
// over it; if it returns bool, false cancels. The right-hand side must be smooth between t0 and t1: split at corners.
template <class Tableau, class System, class Observer>
Outcome integrate(System& system, typename System::Vector& x, double t0, double t1,
                  const typename System::Vector& scale, const Settings& settings, StepMemory& memory,
                  Observer&& observer) {
  require(std::isfinite(t0) && std::isfinite(t1) && t1 >= t0, "The end time must not lie before the start time.");
  require(x.allFinite(), "The initial state must be finite.");
  Stepper<Tableau, System> stepper(scale, settings);
  stepper.start(t0, x, memory.next_step);
  Status status = Status::success;
  while (status == Status::success && stepper.time() < t1) {
    status = stepper.advance(system, t1);
    if (status != Status::success) break;
    if constexpr (std::is_void_v<decltype(observer(stepper.last_step(), stepper.last_integrals()))>) {
      observer(stepper.last_step(), stepper.last_integrals());
    } else {
      if (!observer(stepper.last_step(), stepper.last_integrals())) status = Status::cancelled;
    }
  }
  x = stepper.state();
  memory.next_step = stepper.next_step();
  return {status, stepper.time(), stepper.statistics()};
}

}  // namespace gateswing::integrate
