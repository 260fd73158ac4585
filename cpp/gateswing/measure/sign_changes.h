// Where a step's polynomial changes sign: the root finder below crossings and extrema.
#pragma once

#include <array>
#include <cstddef>

#include "gateswing/waveform/polynomial.h"

namespace gateswing::measure {

// Ascending values of s.
struct SignChanges {
  std::array<double, waveform::max_degree> at{};
  std::size_t count = 0;

  const double* begin() const { return at.data(); }
  const double* end() const { return at.data() + count; }
};

// All sign changes of `p` on [from, to] within [-1, 1], to 1e-15; zero counts as positive, so a touch is no change.
// The monotonic stretches between the sign changes of dp/ds are searched one by one, hence none is missed.
SignChanges sign_changes(const waveform::Polynomial& p, double from, double to);

// The same with the end values given, for a caller who knows them better than p does.
SignChanges sign_changes(const waveform::Polynomial& p, double from, double value_from, double to, double value_to);

}  // namespace gateswing::measure
