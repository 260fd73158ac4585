// Time above a level and between two levels, on shapes whose answer is plain.
#include "gateswing/measure/duration.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "measure/piecewise.h"
#include "relative.h"

using namespace gateswing::measure;
using gateswing_test::corners;
using gateswing_test::even_edges;
using gateswing_test::record;
using gateswing_test::relative;

TEST_CASE("a trapezoid is between its levels for the shares of its ramps, and above for its top") {
  // rises 0 to 10 in 1 s, stays 2 s, falls in 4 s: one corner per step edge
  const auto w =
      record({corners("v", "V", {{1.0, 2.0, 4.0, 8.0}, {0.0, 10.0, 10.0, 0.0}})}, even_edges(0.0, 10.0, 10), 1);
  CHECK(time_between(w, 0, 1.0, 9.0, whole(w)) == relative(0.8 * (1.0 + 4.0), 1e-12));
  CHECK(time_above(w, 0, 9.0, whole(w)) == relative(0.1 + 2.0 + 0.4, 1e-12));
  CHECK(time_above(w, 0, 9.0, {3.0, 3.5}) == relative(0.5, 1e-12));
  CHECK(time_above(w, 0, 11.0, whole(w)) == 0.0);
}

TEST_CASE("a sine is above half its amplitude for a third of its period") {
  const auto sine = [](double t) { return std::sin(2.0 * std::numbers::pi * t); };
  const auto w = record({{{"v", "V"}, sine}}, even_edges(0.0, 3.0, 120), 4);
  CHECK(time_above(w, 0, 0.5, whole(w)) == relative(1.0, 1e-7));
  CHECK(time_between(w, 0, -0.5, 0.5, whole(w)) == relative(1.0, 1e-7));
}

TEST_CASE("a sine is below zero for the second half of each period, cut off by the window's ends") {
  const auto sine = [](double t) { return std::sin(2.0 * std::numbers::pi * t); };
  const auto w = record({{{"v", "V"}, sine}}, even_edges(0.0, 3.0, 120), 4);
  const auto stretches = stretches_below(w, 0, 0.0, {0.75, 2.6});
  REQUIRE(stretches.size() == 3);
  CHECK(stretches[0].begin == relative(0.75, 1e-12));
  CHECK(stretches[0].end == relative(1.0, 1e-7));
  CHECK(stretches[1].begin == relative(1.5, 1e-7));
  CHECK(stretches[1].end == relative(2.0, 1e-7));
  CHECK(stretches[2].begin == relative(2.5, 1e-7));
  CHECK(stretches[2].end == relative(2.6, 1e-12));
  CHECK(stretches_below(w, 0, -1.5, whole(w)).empty());
}
