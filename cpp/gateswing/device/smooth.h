// Smooth, overflow-free stand-ins for kinked and exploding functions, from which the device laws are built.
// A NaN argument gives NaN: a failed step must not look healthy.
#pragma once

#include <cmath>

#include "gateswing/device/dual.h"

namespace gateswing::device {

/// max(x, 0), kinked.
template <class T>
T positive_part(const T& x) {
  return select(x < T(0), T(0), x);
}

/// min(x, 0), kinked; written so that exactly one of the two parts moves with x, at 0 too.
template <class T>
T negative_part(const T& x) {
  return x - positive_part(x);
}

/// exp(-|x|): at most 1 for every x, the one exponential that softplus and its slope share.
template <class T>
T decay(const T& x) {
  using std::exp;
  return exp(T(select(x < T(0), x, -x)));
}

/// ln(1 + exp(x)) and its slope 1/(1 + exp(-x)).
template <class Real>
struct Softplus {
  Real value, slope;

  explicit Softplus(const Real& x) {
    using std::log1p;
    const Real small = decay(x);
    value = positive_part(x) + log1p(small);
    slope = select(x < Real(0), small, Real(1)) / (Real(1) + small);
  }
};

/// ln(1 + exp(x)): max(x, 0) rounded off over |x| of a few units; exp(x) far below zero, x far above.
template <class T>
T softplus(const T& x) {
  return Softplus<T>(x).value;
}

template <class Real, int N>
Dual<Real, N> softplus(const Dual<Real, N>& x) {
  const Softplus<Real> at(x.value);
  return chain(x, at.value, at.slope);
}

/// width (softplus(x/width) - softplus(y/width)) with its partial slopes. One logarithm, and no rounding where the
/// round-off terms cancel: y = -x gives exactly x.
template <class Real>
struct SoftplusDifference {
  Real value, slope_x, slope_y;

  SoftplusDifference(const Real& x, const Real& y, const Real& width) {
    using std::log1p;
    const Real inverse_width = Real(1) / width;
    const Real small_x = decay(Real(x * inverse_width));
    const Real small_y = decay(Real(y * inverse_width));
    const Real inverse_y = Real(1) / (Real(1) + small_y);
    // (1 + small_x)/(1 + small_y) is 1 + (small_x - small_y) inverse_y, and that is at least 1/2.
    value = (positive_part(x) - positive_part(y)) + width * log1p(Real((small_x - small_y) * inverse_y));
    slope_x = select(x < Real(0), small_x, Real(1)) / (Real(1) + small_x);
    slope_y = -select(y < Real(0), small_y, Real(1)) * inverse_y;
  }
};

template <class T, class Y, class Real>
T softplus_difference(const T& x, const Y& y, const Real& width) {
  return SoftplusDifference<T>(x, T(y), T(width)).value;
}

template <class Real, int N>
Dual<Real, N> softplus_difference(const Dual<Real, N>& x, const Dual<Real, N>& y, const Real& width) {
  const SoftplusDifference<Real> at(x.value, y.value, width);
  return chain(x, y, at.value, at.slope_x, at.slope_y);
}

template <class Real, int N>
Dual<Real, N> softplus_difference(const Dual<Real, N>& x, const Real& y, const Real& width) {
  const SoftplusDifference<Real> at(x.value, y, width);
  return chain(x, at.value, at.slope_x);
}

/// x/sqrt(1 + (x inverse_limit)^2): x near zero, never beyond +-1/inverse_limit; x itself for inverse_limit 0.
template <class T, class Real>
T bounded(const T& x, const Real& inverse_limit) {
  using std::sqrt;
  const T overload = x * inverse_limit;
  return x / sqrt(T(T(1) + overload * overload));
}

template <class Real, int N>
Dual<Real, N> bounded(const Dual<Real, N>& x, const Real& inverse_limit) {
  using std::sqrt;
  const Real overload = x.value * inverse_limit;
  const Real root = sqrt(Real(Real(1) + overload * overload));
  const Real ratio = Real(1) / root;
  return chain(x, x.value / root, ratio * ratio * ratio);
}

/// 0 below zero, 1 above one, x^2 (3 - 2 x) between: once continuously differentiable.
template <class T>
T smooth_step(const T& x) {
  const T above = select(x < T(0), T(0), x);
  const T within = select(above > T(1), T(1), above);
  return within * within * (T(3) - T(2) * within);
}

/// Where limited_exp leaves the exponential; exp(50) is 5e21.
constexpr double limited_exp_joint = 50.0;

/// exp(x), continued by its tangent above limited_exp_joint: once continuously differentiable, never infinite.
template <class T>
T limited_exp(const T& x) {
  using std::exp;
  const T within = select(x > T(limited_exp_joint), T(limited_exp_joint), x);
  return exp(within) * (T(1) + (x - within));
}

template <class Real, int N>
Dual<Real, N> limited_exp(const Dual<Real, N>& x) {
  using std::exp;
  const Real within = select(x.value > Real(limited_exp_joint), Real(limited_exp_joint), x.value);
  const Real slope = exp(within);
  return chain(x, slope * (Real(1) + (x.value - within)), slope);
}

}  // namespace gateswing::device
