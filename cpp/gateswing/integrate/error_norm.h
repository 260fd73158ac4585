// The size of an error relative to what the settings allow.
#pragma once

#include <cmath>

#include "gateswing/integrate/settings.h"

namespace gateswing::integrate {

// Largest |v_i| / (absolute_tolerance scale_i + relative_tolerance max(|a_i|, |b_i|)). The maximum, not the root mean
// square: a state with a large error must not hide among many that rest.
template <class Vector>
double weighted_norm(const Vector& v, const Vector& a, const Vector& b, const Vector& scale, const Settings& settings) {
  const auto allowed =
      settings.absolute_tolerance * scale.array() + settings.relative_tolerance * a.array().abs().max(b.array().abs());
  return (v.array().abs() / allowed).maxCoeff();
}

}  // namespace gateswing::integrate
