// Van der Pol's relaxation oscillator with mu = 1000. Equations and reference solution: Test Set for
// Initial Value Problem Solvers, as carried by the R package deTestSet 1.1.7.4.
#pragma once

#include "integrate/problems/problem_system.h"

namespace gateswing::integrate::problems {

struct VanDerPol {
  static constexpr int size = 2;
  static constexpr double end_time = 2000.0;
  static constexpr States<double, size> start{2.0, 0.0};
  static constexpr States<double, size> reference{0.1706167732170469e1, -0.8928097010248125e-3};

  template <class T>
  States<T, size> rhs(const States<T, size>& y, const T&) const {
    return {y[1], 1000.0 * (1.0 - y[0] * y[0]) * y[1] - y[0]};
  }
};

}  // namespace gateswing::integrate::problems
