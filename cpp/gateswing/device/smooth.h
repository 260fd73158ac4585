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

/// What the second argument y gives to a difference of softplus functions.
template <class Real>
struct SoftplusEnd {
  Real positive{};  ///< max(y, 0)
  Real small{};     ///< exp(-|y|/width)
  Real inverse{};   ///< 1/(1 + small)
  Real slope{};     ///< of softplus(y/width) width
};

template <class Real>
SoftplusEnd<Real> softplus_end(const Real& y, const Real& inverse_width) {
  const Real small = decay(Real(y * inverse_width));
  const Real inverse = Real(1) / (Real(1) + small);
  return {positive_part(y), small, inverse, select(y < Real(0), small, Real(1)) * inverse};
}

/// width (softplus(x/width) - softplus(y/width)) with its slope by x. One logarithm, and no rounding where the
/// round-off terms cancel: y = -x gives exactly x.
template <class Real>
struct SoftplusDifference {
  Real value, slope_x;

  SoftplusDifference(const Real& x, const SoftplusEnd<Real>& y, const Real& width, const Real& inverse_width) {
    using std::log1p;
    const Real small = decay(Real(x * inverse_width));
    // (1 + small)/(1 + y.small) is 1 + (small - y.small) y.inverse, and that is at least 1/2.
    value = (positive_part(x) - y.positive) + width * log1p(Real((small - y.small) * y.inverse));
    slope_x = select(x < Real(0), small, Real(1)) / (Real(1) + small);
  }
};

template <class T, class Real>
T softplus_difference(const T& x, const SoftplusEnd<Real>& y, const Real& width, const Real& inverse_width) {
  return SoftplusDifference<T>(x, {T(y.positive), T(y.small), T(y.inverse), T(y.slope)}, T(width), T(inverse_width))
      .value;
}

template <class Real, int N>
Dual<Real, N> softplus_difference(const Dual<Real, N>& x, const SoftplusEnd<Real>& y, const Real& width,
                                  const Real& inverse_width) {
  const SoftplusDifference<Real> at(x.value, y, width, inverse_width);
  return chain(x, at.value, at.slope_x);
}

template <class T, class Real>
T softplus_difference(const T& x, const T& y, const Real& width, const Real& inverse_width) {
  return SoftplusDifference<T>(x, softplus_end(y, T(inverse_width)), T(width), T(inverse_width)).value;
}

template <class Real, int N>
Dual<Real, N> softplus_difference(const Dual<Real, N>& x, const Dual<Real, N>& y, const Real& width,
                                  const Real& inverse_width) {
  const SoftplusEnd<Real> end = softplus_end(y.value, inverse_width);
  const SoftplusDifference<Real> at(x.value, end, width, inverse_width);
  return chain(x, y, at.value, at.slope_x, -end.slope);
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
