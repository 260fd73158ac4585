// What is left of functions once their first term is taken off, without cancellation near zero.
#pragma once

#include <cmath>

#include "gateswing/device/dual.h"

namespace gateswing::device {

/// exp(x) - 1 - x: to about 20 roundings everywhere; x^2/2 near zero.
template <class T>
T expm1_less_argument(const T& x) {
  using std::expm1;
  constexpr double joint = 0.1;  // the first term left out of the series is 1e-17 of the sum there
  T series(1.0);
  for (int k = 11; k >= 3; --k) series = T(1.0) + x * series / T(static_cast<double>(k));
  const T magnitude = select(x < T(0.0), T(-x), x);
  return select(magnitude < T(joint), T(T(0.5) * x * x * series), T(expm1(x) - x));
}

/// x - asinh(x), or sinh(d) - d at d = asinh(x): to about 30 roundings everywhere; x^3/6 near zero.
template <class T>
T less_asinh(const T& x) {
  using std::asinh;
  constexpr double joint = 0.5;  // the first term left out of the series is 1e-17 of the sum there
  const T d = asinh(x);
  T series(1.0);
  for (int k = 15; k >= 5; k -= 2) series = T(1.0) + d * d * series / T(static_cast<double>(k * (k - 1)));
  const T magnitude = select(d < T(0.0), T(-d), d);
  return select(magnitude < T(joint), T(d * d * d * series / T(6.0)), T(x - d));
}

}  // namespace gateswing::device
