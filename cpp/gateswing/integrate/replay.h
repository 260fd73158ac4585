// The steps of an accepted run once more, from another start: the discrete map of that run, which differences need.
#pragma once

#include <span>

#include "gateswing/integrate/rosenbrock_step.h"
#include "gateswing/integrate/status.h"

namespace gateswing::integrate {

// Carries x from t0 over steps that end at the ascending times `ends` [s], without error test, and adds the quadratures
// to `integrals`. A chosen step length is a discontinuous function of the start, so that differences of two adaptive
// runs are noise of the size of the tolerance; with the steps held the end state is a smooth function of the start.
// After each step go_on() is asked; false cancels. On any status but success x is the state at Outcome::time.
template <class Tableau, class System, class GoOn>
Outcome replay(System& system, typename System::Vector& x, double t0, std::span<const double> ends,
               typename System::Integrals& integrals, const GoOn& go_on) {
  RosenbrockStep<Tableau, System> step;
  Outcome outcome{Status::success, t0, {}};
  for (const double end : ends) {
    step.linearize(system, outcome.time, x);
    const Attempt result = step.attempt(system, end - outcome.time);
    ++outcome.statistics.linearizations;
    ++outcome.statistics.factorisations;
    outcome.statistics.residual_evaluations += static_cast<long>(Tableau::stages);
    if (result != Attempt::computed) {
      outcome.status = result == Attempt::singular ? Status::singular : Status::non_finite;
      return outcome;
    }
    x = step.end_state();
    integrals += step.integrals();
    outcome.time = end;
    ++outcome.statistics.steps;
    if (!go_on()) {
      outcome.status = Status::cancelled;
      return outcome;
    }
  }
  return outcome;
}

}  // namespace gateswing::integrate
