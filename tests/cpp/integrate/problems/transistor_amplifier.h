// Transistor amplifier: index-1 problem whose constant mass matrix is singular without a row of zeros. Equations and
// reference solution (PSIDE, tolerance 1e-14): Test Set for Initial Value Problem Solvers, as carried by the R package
// deTestSet 1.1.7.4.
#pragma once

#include "integrate/problems/problem_system.h"

namespace gateswing::integrate::problems {

struct TransistorAmplifier {
  static constexpr int size = 8;
  static constexpr double end_time = 0.2;
  static constexpr States<double, size> start{0.0, 3.0, 3.0, 6.0, 3.0, 3.0, 6.0, 0.0};
  static constexpr States<double, size> reference{-0.5562145012262709e-2, 0.3006522471903042e1, 0.2849958788608128e1,
                                                  0.2926422536206241e1,   0.2704617865010554e1, 0.2761837778393145e1,
                                                  0.4770927631616772e1,   0.1236995868091548e1};

  template <class T>
  States<T, size> rhs(const States<T, size>& y, const T& t) const {
    using std::exp;
    constexpr double supply = 6.0, alpha = 0.99, r0 = 1000.0, r = 9000.0, pi = 3.14159265358979323846;
    const auto emitter = [](const T& v) -> T { return 1e-6 * (exp(v / 0.026) - 1.0); };
    const T input = 0.1 * sine(T(200.0 * pi * t));
    const T first = emitter(y[1] - y[2]), second = emitter(y[4] - y[5]);
    return {(y[0] - input) / r0,
            y[1] / r + (y[1] - supply) / r + (1.0 - alpha) * first,
            y[2] / r - first,
            (y[3] - supply) / r + alpha * first,
            y[4] / r + (y[4] - supply) / r + (1.0 - alpha) * second,
            y[5] / r - second,
            (y[6] - supply) / r + alpha * second,
            y[7] / r};
  }

  template <class T>
  MassRows<T, size> mass(const States<T, size>&) const {
    constexpr double c1 = 1e-6, c2 = 2e-6, c3 = 3e-6, c4 = 4e-6, c5 = 5e-6;
    MassRows<T, size> rows{};
    rows[0][0] = rows[1][1] = -c1;
    rows[0][1] = rows[1][0] = c1;
    rows[2][2] = -c2;
    rows[3][3] = rows[4][4] = -c3;
    rows[3][4] = rows[4][3] = c3;
    rows[5][5] = -c4;
    rows[6][6] = rows[7][7] = -c5;
    rows[6][7] = rows[7][6] = c5;
    return rows;
  }
};

}  // namespace gateswing::integrate::problems
