// Steps of equal length, and the order of convergence they show.
#pragma once

#include <cmath>

#include "gateswing/integrate/rosenbrock_step.h"

namespace gateswing::integrate::test {

/// Carries x over [t0, t1] in `count` equal steps; observe(step) sees each computed RosenbrockStep with its end time.
template <class Tableau, class System, class Observer>
bool take_steps(System& system, typename System::Vector& x, double t0, double t1, int count, Observer&& observe) {
  RosenbrockStep<Tableau, System> step;
  for (int i = 0; i < count; ++i) {
    const double start = t0 + (t1 - t0) * i / count;
    const double end = t0 + (t1 - t0) * (i + 1) / count;
    step.linearize(system, start, x);
    if (step.attempt(system, end - start) != Attempt::computed) return false;
    x = step.end_state();
    observe(step, end);
  }
  return true;
}

/// log2 of the ratio of the errors with `count` and 2 count steps. error(count) -> positive number.
template <class Error>
double observed_order(const Error& error, int count) {
  return std::log2(error(count) / error(2 * count));
}

}  // namespace gateswing::integrate::test
