// The trajectory inside one accepted step, as a polynomial.
#pragma once

#include <array>

#include "gateswing/integrate/tableau.h"

namespace gateswing::integrate {

// x(theta) = (1-theta) x0 + theta x1 + theta (1-theta) (p0 + theta p1 + theta^2 p2), theta in [0, 1] across the step.
// Order 3 (Rodas4, Rodas4P) or 4 (Rodas5P). One type for all methods, so that results do not depend on the method
// chosen.
template <class Vector>
struct DenseStep {
  double start_time = 0.0;  // [s]
  double end_time = 0.0;    // [s]
  Vector start_state;
  Vector end_state;
  std::array<Vector, dense_rows> shape;

  double length() const { return end_time - start_time; }
  double theta(double time) const { return (time - start_time) / length(); }

  Vector value(double theta) const {
    Vector result;
    value_into(theta, result);
    return result;
  }

  // Likewise, into a vector that is kept for its memory.
  template <class Kept>
  void value_into(double theta, Kept& result) const {
    const double rest = 1.0 - theta;
    result = rest * start_state + theta * end_state + theta * rest * (shape[0] + theta * (shape[1] + theta * shape[2]));
  }

  // dx/dt [state unit / s].
  Vector derivative(double theta) const {
    const Vector bulge = shape[0] + theta * (shape[1] + theta * shape[2]);
    const Vector bulge_slope = shape[1] + 2.0 * theta * shape[2];
    return (end_state - start_state + (1.0 - 2.0 * theta) * bulge + theta * (1.0 - theta) * bulge_slope) / length();
  }
};

}  // namespace gateswing::integrate
