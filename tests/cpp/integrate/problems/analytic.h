// Problems with known solutions, each with the difficulty its comment names.
#pragma once

#include <cmath>

#include "integrate/problems/problem_system.h"

namespace gateswing::integrate::problems {

/// Autonomous and nonlinear: P. Kaps, P. Rentrop, Numer. Math. 33, 55-68 (1979), with eps = 1. x = (exp(-2t), exp(-t)).
struct KapsRentrop {
  static constexpr int size = 2;
  static States<double, size> exact(double t) { return {std::exp(-2.0 * t), std::exp(-t)}; }

  template <class T>
  States<T, size> rhs(const States<T, size>& y, const T&) const {
    return {-3.0 * y[0] + y[1] * y[1], y[0] - y[1] - y[1] * y[1]};
  }
};

/// Forced by time, stiff for large |rate|: A. Prothero, A. Robinson, Math. Comp. 28, 145-162 (1974). x = sin t.
struct ProtheroRobinson {
  static constexpr int size = 1;
  double rate = -2.0;
  static States<double, size> exact(double t) { return {std::sin(t)}; }

  template <class T>
  States<T, size> rhs(const States<T, size>& y, const T& t) const {
    return {rate * (y[0] - sine(t)) + cosine(t)};
  }
};

/// Two nodes coupled by a nonlinear capacitance, and a third whose voltage z a nonlinear algebraic row fixes: every
/// term of the contract for M(x) x' = f(x, t) counts. Made so that a = 2 + sin t, b = cos t, z = (1 + b cos t)/a.
/// Integrands a b and z a sin t.
struct CoupledCapacitances {
  static constexpr int size = 3;
  static constexpr bool mass_depends_on_state = true;
  static constexpr int quadratures = 2;
  static States<double, size> exact(double t) {
    const double a = 2.0 + std::sin(t), b = std::cos(t);
    return {a, b, (1.0 + b * std::cos(t)) / a};
  }
  static States<double, quadratures> exact_integrals(double t) {
    const double s = std::sin(t), c = std::cos(t);
    return {2.0 * s + 0.5 * s * s, 4.0 / 3.0 - c - c * c * c / 3.0};
  }

  template <class T>
  static T coupling(const T& v) {
    return 0.5 + 1.0 / (1.0 + v * v);
  }

  template <class T>
  States<T, size> rhs(const States<T, size>& y, const T& t) const {
    const T s = sine(t), c = cosine(t);
    const T a = 2.0 + s, z = (1.0 + c * c) / a;
    const T displacement = coupling(T(y[0] - y[1])) * (c + s);
    return {c + displacement + 2.0 * (a - y[0]) + (z - y[2]) * y[1],
            -s - displacement + (c - y[1]) * (1.0 + y[0]) + (y[2] - z), y[2] * y[0] - 1.0 - y[1] * c};
  }

  template <class T>
  MassRows<T, size> mass(const States<T, size>& y) const {
    const T c = coupling(T(y[0] - y[1]));
    MassRows<T, size> rows{};
    rows[0][0] = rows[1][1] = 1.0 + c;
    rows[0][1] = rows[1][0] = -c;
    return rows;
  }

  template <class T>
  States<T, quadratures> integrand(const States<T, size>& y, const T& t) const {
    return {y[0] * y[1], y[2] * y[0] * sine(t)};
  }
};

}  // namespace gateswing::integrate::problems
