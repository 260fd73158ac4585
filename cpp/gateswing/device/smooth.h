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

/// min(x, 0), kinked.
template <class T>
T negative_part(const T& x) {
  return select(x > T(0), T(0), x);
}

/// exp(-|x|): at most 1 for every x, the one exponential that softplus and its slope share.
template <class T>
T decay(const T& x) {
  using std::exp;
  return exp(select(x < T(0), x, -x));
}

/// 1/(1 + exp(-x)) from x and decay(x).
template <class T>
T logistic(const T& x, const T& decay_of_x) {
  return select(x < T(0), decay_of_x, T(1)) / (T(1) + decay_of_x);
}

/// ln(1 + exp(x)): max(x, 0) rounded off over |x| of a few units; exp(x) far below zero, x far above.
template <class T>
T softplus(const T& x) {
  using std::log1p;
  return positive_part(x) + log1p(decay(x));
}

template <class Real, int N>
Dual<Real, N> softplus(const Dual<Real, N>& x) {
  using std::log1p;
  const Real small = decay(x.value);
  return chain(x, positive_part(x.value) + log1p(small), logistic(x.value, small));
}

/// width (softplus(x/width) - softplus(y/width)) with its partial slopes. One logarithm, and no rounding where the
/// round-off terms cancel: y = -x gives exactly x.
template <class Real>
struct SoftplusDifference {
  Real value, slope_x, slope_y;

  SoftplusDifference(const Real& x, const Real& y, const Real& width) {
    using std::log1p;
    const Real decay_x = decay(Real(x / width));
    const Real decay_y = decay(Real(y / width));
    value = (positive_part(x) - positive_part(y)) + width * log1p(Real((decay_x - decay_y) / (Real(1) + decay_y)));
    slope_x = logistic(x, decay_x);
    slope_y = -logistic(y, decay_y);
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

/// Where limited_exp leaves the exponential; exp(50) is 5e21.
constexpr double limited_exp_joint = 50.0;

/// exp(x), continued by its tangent above limited_exp_joint: once continuously differentiable, never infinite.
template <class T>
T limited_exp(const T& x) {
  using std::exp;
  const T beyond = positive_part(T(x - T(limited_exp_joint)));
  return exp(T(x - beyond)) * (T(1) + beyond);
}

template <class Real, int N>
Dual<Real, N> limited_exp(const Dual<Real, N>& x) {
  using std::exp;
  const Real beyond = positive_part(Real(x.value - Real(limited_exp_joint)));
  const Real bounded = exp(Real(x.value - beyond));
  return chain(x, bounded * (Real(1) + beyond), bounded);
}

}  // namespace gateswing::device
