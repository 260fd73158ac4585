// A safe first step from the derivatives at the start, after the idea of Hairer, Norsett, Wanner I, section II.4, with
// the derivatives taken from the linearization instead of a trial step.
#pragma once

#include <algorithm>
#include <cmath>

#include "gateswing/integrate/error_norm.h"
#include "gateswing/integrate/small_lu.h"

namespace gateswing::integrate {

// The first three time derivatives at the point of a linearization. x' and x'' are exact on differential rows; x'''
// leaves out the curvature of f, and x'', x''' the curvature of the algebraic rows.
template <class Vector>
struct Derivatives {
  Vector first, second, third;
};

// An index-1 problem obeys M x' = f on its differential rows and J x' + f_t = 0 on its algebraic ones (zero rows of M).
template <class Step>
auto derivatives(const Step& step) {
  using Vector = typename Step::Vector;
  using Matrix = typename Step::Matrix;
  Matrix matrix = step.mass();
  Vector source = step.start_residual();
  Vector differential = Vector::Ones();
  for (int i = 0; i < Vector::RowsAtCompileTime; ++i) {
    if (!step.mass().row(i).isZero(0.0)) continue;
    matrix.row(i) = -step.jacobian().row(i);
    source[i] = step.time_derivative()[i];
    differential[i] = 0.0;
  }
  SmallLu<Vector> lu;
  lu.compute(matrix);
  Derivatives<Vector> result;
  result.first = lu.solve(source);
  result.second = lu.solve(differential.cwiseProduct(step.jacobian() * result.first + step.time_derivative()));
  result.third = lu.solve(differential.cwiseProduct(step.jacobian() * result.second));
  return result;
}

// Length [s] at which the first neglected term of the Taylor series, of order q = embedded order + 1, is a small part
// of the tolerance, if the derivatives go on growing as from the second to the third. `limit` [s] bounds the answer.
template <class Step, class Vector>
double first_step(const Step& step, const Vector& x, const Vector& scale, const Settings& settings, int embedded_order,
                  double limit) {
  constexpr double blind_part = 1e-4;  // of the limit, where the derivatives cannot be had (M singular, no zero row)
  constexpr double part_of_tolerance = 0.1;
  const Derivatives<Vector> x_dot = derivatives(step);
  const double second = weighted_norm(x_dot.second, x, x, scale, settings);
  const double third = weighted_norm(x_dot.third, x, x, scale, settings);
  if (!std::isfinite(second + third)) return blind_part * limit;
  if (second == 0.0) return limit;
  const double rate = std::max(third / second, 1.0 / limit);
  const double order = embedded_order + 1.0;
  const double term = part_of_tolerance * std::tgamma(order + 1.0) * rate * rate / second;
  return std::min(limit, std::pow(term, 1.0 / order) / rate);
}

}  // namespace gateswing::integrate
