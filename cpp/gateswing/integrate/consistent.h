// Consistent initial values: solves the algebraic rows for the states they fix.
#pragma once

#include <algorithm>
#include <cmath>

#include "gateswing/integrate/settings.h"
#include "gateswing/integrate/small_lu.h"

namespace gateswing::integrate {

// The algebraic part of a system at a fixed time: its rows of f and the Newton corrections that reduce them.
// Algebraic rows are the zero rows of M, algebraic states its zero columns.
template <class System>
class AlgebraicRows {
 public:
  using Vector = typename System::Vector;
  using Matrix = typename System::Matrix;

  // False where the numbers of rows and states differ.
  bool linearize(System& system, double t, const Vector& x) {
    Matrix mass, matrix;
    Vector time_derivative;
    system.linearize(t, x, mass, matrix, time_derivative);
    Vector state;
    for (int i = 0; i < System::size; ++i) {
      row_[i] = mass.row(i).isZero(0.0) ? 1.0 : 0.0;
      state[i] = mass.col(i).isZero(0.0) ? 1.0 : 0.0;
    }
    if (row_.sum() != state.sum()) return false;
    int next_row = 0;
    for (int i = 0; i < System::size; ++i) {
      if (row_[i] != 0.0) continue;
      while (state[next_row] != 0.0) ++next_row;
      matrix.row(i).setZero();
      matrix(i, next_row++) = 1.0;  // a differential state keeps its value
    }
    lu_.compute(matrix);
    return true;
  }

  // Of the last linearization.
  Vector correction(System& system, double t, const Vector& x) const {
    Vector residual;
    typename System::Integrals integrand;
    system.residual(t, x, residual, integrand);
    return lu_.solve(-residual.cwiseProduct(row_));
  }

 private:
  Vector row_;
  SmallLu<Vector> lu_;
};

// Newton's method on the algebraic rows of M(x) x' = f(x, t), index 1; differential states keep their values. Damped by
// the restricted natural monotonicity test (P. Deuflhard, Newton Methods for Nonlinear Problems, section 3.3).
// Converged when the last undamped correction is below 1e-10 (scale_i + |x_i|). Returns false, with x untouched, where
// it does not converge, meets a value that is not finite, or the algebraic rows and states differ in number.
template <class System>
bool make_consistent(System& system, double t, typename System::Vector& x, const typename System::Vector& scale) {
  using Vector = typename System::Vector;
  constexpr int iteration_limit = 200;
  constexpr double smallest_damping = 1e-16;  // a diode at 0 V sends the first correction that far
  constexpr double tolerance = 1e-10;
  require((scale.array() > 0.0).all() && scale.allFinite(), "Every state scale must be positive and finite.");
  AlgebraicRows<System> rows;
  Vector state = x;
  double damping = 1.0;
  for (int iteration = 0; iteration < iteration_limit; ++iteration) {
    if (!rows.linearize(system, t, state)) return false;
    const Vector correction = rows.correction(system, t, state);
    const auto size = [&](const Vector& v) {
      return (v.array().abs() / (scale.array() + state.array().abs())).maxCoeff();
    };
    const double before = size(correction);
    if (!correction.allFinite()) return false;
    if (before <= tolerance) {
      x = state + correction;
      return true;
    }
    Vector trial = state + damping * correction;
    Vector next = rows.correction(system, t, trial);
    while (!next.allFinite() || size(next) > (1.0 - 0.25 * damping) * before) {
      damping *= 0.5;
      if (damping < smallest_damping) return false;
      trial = state + damping * correction;
      next = rows.correction(system, t, trial);
    }
    state = trial;
    damping = std::min(1.0, 4.0 * damping);
  }
  return false;
}

}  // namespace gateswing::integrate
