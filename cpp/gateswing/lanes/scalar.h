// What the lane code asks of its scalar beyond arithmetic, for a plain double: one lane.
#pragma once

#include <cmath>

#include "gateswing/device/dual.h"

namespace gateswing::lanes {

using device::select;

/// What a comparison gives: a bool, or one truth value per lane.
template <class Real>
using MaskOf = decltype(Real(0.0) < Real(0.0));

inline double abs(double x) {
  return std::abs(x);
}
inline double max(double a, double b) {
  return a < b ? b : a;
}
inline double min(double a, double b) {
  return b < a ? b : a;
}
inline double exp(double x) {
  return std::exp(x);
}
inline double log(double x) {
  return std::log(x);
}
/// a b + c; packs round it once.
inline double multiply_add(double a, double b, double c) {
  return a * b + c;
}
inline unsigned bits(bool mask) {
  return mask ? 1U : 0U;
}

}  // namespace gateswing::lanes
