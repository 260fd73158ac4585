// Peaks, slopes and overshoot against closed forms.
#include "gateswing/measure/extrema.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <stdexcept>

#include "measure/piecewise.h"
#include "measure/step_response.h"
#include "relative.h"

using namespace gateswing::measure;
using gateswing_test::corners;
using gateswing_test::record;
using gateswing_test::relative;
using gateswing_test::StepResponse;
using gateswing_test::uneven_edges;

TEST_CASE("the peak of a sine lies between nodes and is found to the order of the record") {
  const auto w = record({{{"v", "V"}, [](double t) { return std::sin(t); }}}, uneven_edges(0.0, 6.0, 0.05), 4);
  const Extremum top = maximum(w, 0, whole(w));
  const Extremum bottom = minimum(w, 0, whole(w));
  CHECK(top.value == relative(1.0, 1e-6));
  CHECK(top.time == relative(std::numbers::pi / 2.0, 1e-5));
  CHECK(bottom.value == relative(-1.0, 1e-6));
  CHECK(bottom.time == relative(3.0 * std::numbers::pi / 2.0, 1e-5));
}

TEST_CASE("only the window counts, its ends included") {
  const auto w = record({{{"v", "V"}, [](double t) { return t * t; }}}, {-2.0, -0.7, 0.4, 3.0}, 2);
  CHECK(maximum(w, 0, {-1.0, 0.5}).value == relative(1.0, 1e-9));
  CHECK(maximum(w, 0, {-1.0, 0.5}).time == -1.0);
  CHECK(maximum(w, 0, {-0.5, 1.0}).time == 1.0);
  CHECK(minimum(w, 0, {0.1, 2.0}).value == relative(0.01, 1e-9));
  CHECK(std::abs(minimum(w, 0, {-1.0, 2.0}).time) < 1e-12);
}

TEST_CASE("an extremum at a node is that node's value to the last bit") {
  const auto w = record({{{"v", "V"}, [](double t) { return 0.1 + std::expm1(t); }}}, uneven_edges(0.0, 1.0, 0.03), 4);
  CHECK(minimum(w, 0, whole(w)).value == w.values(0).front());
  CHECK(maximum(w, 0, whole(w)).value == w.values(0).back());
}

TEST_CASE("of equal peaks the first is reported") {
  const auto w = record({corners("v", "V", {{0, 1, 2, 3, 4}, {0, 5, 0, 5, 0}})}, {0, 1, 2, 3, 4}, 1);
  CHECK(maximum(w, 0, whole(w)).time == 1.0);
  CHECK(minimum(w, 0, whole(w)).time == 0.0);
  const auto flat = record({corners("v", "V", {{0, 1}, {3, 3}})}, {0, 1, 2}, 1);
  CHECK(maximum(flat, 0, whole(flat)).time == 0.0);
}

TEST_CASE("a step that starts far below the highest value so far and ends just above it is not passed over") {
  const auto w = record({corners("v", "V", {{0, 1, 2, 3}, {1, 0.9, -1, 1.1}})}, {0, 1, 2, 3}, 1);
  CHECK(maximum(w, 0, whole(w)).time == 3.0);
}

TEST_CASE("the steepest slope is the one of largest magnitude, with its sign, of the derivative and not of the nodes") {
  // d/dt of exp(-t^2): extremes -/+ sqrt(2/e) at t = +/- 1/sqrt(2); the second pulse is inverted and 1.5 times as high.
  const auto pulse = [](double t) { return std::exp(-t * t) - 1.5 * std::exp(-(t - 8.0) * (t - 8.0)); };
  const auto w = record({{{"v", "V"}, pulse}}, uneven_edges(-4.0, 12.0, 0.02), 4);
  const double steepest = std::sqrt(2.0 / std::numbers::e);
  CHECK(maximum_slope(w, 0, {-4.0, 4.0}).value == relative(steepest, 1e-5));
  CHECK(maximum_slope(w, 0, {-4.0, 4.0}).time == relative(-std::sqrt(0.5), 1e-2));
  CHECK(minimum_slope(w, 0, {-4.0, 4.0}).value == relative(-steepest, 1e-5));
  CHECK(steepest_slope(w, 0, {4.0, 8.0}).value == relative(-1.5 * steepest, 1e-5));
  CHECK(steepest_slope(w, 0, {8.0, 12.0}).value == relative(1.5 * steepest, 1e-5));
}

TEST_CASE("the overshoot of a second-order step is exp(-pi zeta / sqrt(1 - zeta^2))") {
  // 72.92 %, 52.66 %, 16.30 % for damping ratios 0.1, 0.2, 0.5: textbook closed form, computed here.
  const double published[][2] = {{0.1, 0.7292}, {0.2, 0.5266}, {0.5, 0.1630}};
  for (const auto& [zeta, fraction] : published) {
    const StepResponse response{2.0 * std::numbers::pi * 50e6, zeta, 24.0};
    const auto w = record({{{"v_ds", "V"}, response}}, uneven_edges(0.0, 100e-9, 0.3e-9), 4);
    const Overshoot over = overshoot(w, 0, 0.0, 24.0, whole(w));
    const double exact = std::exp(-std::numbers::pi * zeta / std::sqrt(1.0 - zeta * zeta));
    CHECK(over.fraction == relative(exact, 1e-6));
    CHECK(std::abs(over.fraction - fraction) < 5e-5);
    CHECK(over.amount == relative(24.0 * exact, 1e-6));
    CHECK(over.peak == relative(24.0 * (1.0 + exact), 1e-6));
    CHECK(over.time == relative(0.5 * response.period(), 1e-4));
  }
}

TEST_CASE("a falling step overshoots downwards, and a critically damped one not at all") {
  const auto fall = [](double t) { return 12.0 - 12.5 * std::min(t, 1.0) + 0.5 * std::max(0.0, t - 1.0); };
  const auto w = record({{{"v", "V"}, fall}}, {0.0, 1.0, 2.0}, 1);
  const Overshoot over = overshoot(w, 0, 12.0, 0.0, whole(w));
  CHECK(over.amount == relative(0.5, 1e-9));
  CHECK(over.fraction == relative(0.5 / 12.0, 1e-9));

  const auto critical = [](double t) { return 5.0 * (1.0 - (1.0 + t) * std::exp(-t)); };
  const auto slow = record({{{"v", "V"}, critical}}, uneven_edges(0.0, 10.0, 0.1), 4);
  CHECK(overshoot(slow, 0, 0.0, 5.0, whole(slow)).amount < 0.0);
  CHECK_THROWS_AS(overshoot(slow, 0, 5.0, 5.0, whole(slow)), std::invalid_argument);
}
