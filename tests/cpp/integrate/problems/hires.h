// HIRES: eight reactions of plant photomorphogenesis (Schaefer 1975), an ordinary stiff problem. Equations and
// reference solution: Test Set for Initial Value Problem Solvers, as carried by the R package deTestSet 1.1.7.4.
#pragma once

#include "integrate/problems/problem_system.h"

namespace gateswing::integrate::problems {

struct Hires {
  static constexpr int size = 8;
  static constexpr double end_time = 321.8122;
  static constexpr States<double, size> start{1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0057};
  static constexpr States<double, size> reference{0.7371312573325668e-3, 0.1442485726316185e-3, 0.5888729740967575e-4,
                                                  0.1175651343283149e-2, 0.2386356198831331e-2, 0.6238968252742796e-2,
                                                  0.2849998395185769e-2, 0.2850001604814231e-2};

  template <class T>
  States<T, size> rhs(const States<T, size>& y, const T&) const {
    const T binding = 280.0 * y[5] * y[7];
    const T seventh = binding - 1.81 * y[6];
    return {-1.71 * y[0] + 0.43 * y[1] + 8.32 * y[2] + 0.0007,
            1.71 * y[0] - 8.75 * y[1],
            -10.03 * y[2] + 0.43 * y[3] + 0.035 * y[4],
            8.32 * y[1] + 1.71 * y[2] - 1.12 * y[3],
            -1.745 * y[4] + 0.43 * y[5] + 0.43 * y[6],
            -binding + 0.69 * y[3] + 1.71 * y[4] - 0.43 * y[5] + 0.69 * y[6],
            seventh,
            -seventh};
  }
};

}  // namespace gateswing::integrate::problems
