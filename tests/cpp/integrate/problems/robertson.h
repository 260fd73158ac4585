// Robertson's three reactions (1966) over eleven decades of time: the second concentration is 1e-13 at the end.
// Equations and reference solution: Test Set for Initial Value Problem Solvers, as carried by the R package
// deTestSet 1.1.7.4.
#pragma once

#include "integrate/problems/problem_system.h"

namespace gateswing::integrate::problems {

struct Robertson {
  static constexpr int size = 3;
  static constexpr double end_time = 1e11;
  static constexpr States<double, size> start{1.0, 0.0, 0.0};
  static constexpr States<double, size> reference{0.2083340149701255e-7, 0.8333360770334713e-13, 0.9999999791665050};

  template <class T>
  States<T, size> rhs(const States<T, size>& y, const T&) const {
    const T first = 0.04 * y[0], second = 3e7 * y[1] * y[1], third = 1e4 * y[1] * y[2];
    return {third - first, first - third - second, second};
  }
};

}  // namespace gateswing::integrate::problems
