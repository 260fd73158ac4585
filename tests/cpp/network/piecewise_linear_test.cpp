// Piecewise-linear inputs: values, segments, corners.
#include <doctest/doctest.h>

#include <array>
#include <limits>

#include "gateswing/network/piecewise_linear.h"
#include "network/support.h"
#include "relative.h"

namespace gateswing::network::test {
namespace {

PiecewiseLinear trapezoid() {
  return PiecewiseLinear({{1.0, 2.0}, {3.0, 6.0}, {4.0, 6.0}, {8.0, -2.0}});
}

TEST_CASE("a constant input has its value at all times and no slope") {
  const PiecewiseLinear input(3.5);
  CHECK(input.is_constant());
  for (const double time : {-1e9, 0.0, 1e-12, 1e9}) {
    CHECK(input.value(time) == 3.5);
    CHECK(input.segment_from(time).slope == 0.0);
  }
}

TEST_CASE("an input is linear between corners and constant outside them") {
  const PiecewiseLinear input = trapezoid();
  CHECK_FALSE(input.is_constant());
  CHECK(input.value(-5.0) == 2.0);
  CHECK(input.value(1.0) == 2.0);
  CHECK(input.value(2.0) == 4.0);
  CHECK(input.value(3.5) == 6.0);
  CHECK(input.value(6.0) == 2.0);
  CHECK(input.value(8.0) == -2.0);
  CHECK(input.value(100.0) == -2.0);
}

TEST_CASE("the segment from a corner is the one to its right") {
  const PiecewiseLinear input = trapezoid();
  CHECK(input.segment_from(0.0).slope == 0.0);
  CHECK(input.segment_from(1.0).slope == 2.0);
  CHECK(input.segment_from(3.0).slope == 0.0);
  CHECK(input.segment_from(4.0).slope == -2.0);
  CHECK(input.segment_from(8.0).slope == 0.0);
}

TEST_CASE("a segment gives the input's value at every time it covers") {
  const PiecewiseLinear input = trapezoid();
  for (const double start : {0.5, 1.0, 1.7, 3.0, 4.0, 5.5, 8.0, 9.0}) {
    const Segment segment = input.segment_from(start);
    CHECK(segment.value + segment.slope * (start - segment.start) ==
          gateswing_test::relative(input.value(start), 1e-6));
  }
}

TEST_CASE("corner times are those of all changing inputs strictly inside, sorted, each once") {
  const std::array inputs{trapezoid(), PiecewiseLinear(7.0), PiecewiseLinear({{2.5, 0.0}, {3.0, 1.0}, {9.0, 0.0}})};
  CHECK(corner_times(inputs, 1.0, 8.0) == std::vector{2.5, 3.0, 4.0});
  CHECK(corner_times(inputs, 0.0, 10.0) == std::vector{1.0, 2.5, 3.0, 4.0, 8.0, 9.0});
  CHECK(corner_times(inputs, 5.0, 7.0).empty());
}

TEST_CASE("corners that do not increase in time or are not numbers are refused") {
  constexpr double nan = std::numeric_limits<double>::quiet_NaN();
  using Corners = std::vector<Corner>;
  for (const Corners& corners : {Corners{{0.0, 1.0}, {0.0, 2.0}}, Corners{{1.0, 1.0}, {0.0, 2.0}}}) {
    CHECK(refusal([&] { const PiecewiseLinear input(corners); }).find("must be increasing") != std::string::npos);
  }
  for (const Corners& corners : {Corners{{nan, 1.0}}, Corners{{0.0, nan}}}) {
    CHECK(refusal([&] { const PiecewiseLinear input(corners); }).find("finite") != std::string::npos);
  }
  CHECK(refusal([] { const PiecewiseLinear input(Corners{}); }).find("at least one corner") != std::string::npos);
}

}  // namespace
}  // namespace gateswing::network::test
