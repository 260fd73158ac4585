// Comparison that is relative even for nanoseconds: doctest's own adds one to the magnitude it takes a fraction of.
#pragma once

#include <doctest/doctest.h>

namespace gateswing_test {

// Equal to within a fraction `tolerance` of the larger of both; never to an expected zero.
inline doctest::Approx relative(double expected, double tolerance) {
  return doctest::Approx(expected).epsilon(tolerance).scale(0.0);
}

}  // namespace gateswing_test
