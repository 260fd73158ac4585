// Conduction beyond a knee: limits, passivity, exact slopes.
#include <doctest/doctest.h>

#include <cmath>

#include "device/check.h"
#include "device/random_laws.h"
#include "gateswing/device/knee_conduction.h"

namespace gateswing::device::test {
namespace {

const KneeConduction<> clamp{.knee_voltage = 110.0, .slope_resistance = 0.05, .knee_width = 0.5};

TEST_CASE("far above the knee the current is (v - knee)/R") {
  CHECK(close(knee_current(clamp, 130.0), 20.0 / 0.05, 1e-14));
  CHECK(close(knee_current(clamp, seed<1>(130.0, 0)).derivative[0], 1.0 / 0.05, 1e-14));
}

TEST_CASE("at the knee the current is width/R ln 2 and the slope half of 1/R") {
  CHECK(close(knee_current(clamp, 110.0), 0.5 / 0.05 * std::log(2.0), 1e-14));
  CHECK(close(knee_current(clamp, seed<1>(110.0, 0)).derivative[0], 0.5 / 0.05, 1e-14));
}

TEST_CASE("below the knee the current dies one decade per ln 10 widths") {
  CHECK(close(knee_current(clamp, 90.0) / knee_current(clamp, 90.0 - 0.5 * std::log(10.0)), 10.0, 1e-12));
}

TEST_CASE("where the law leaves its exponential out, nothing is missing") {
  const KneeConduction<> steering{.knee_voltage = 0.3, .slope_resistance = 3.0, .knee_width = 0.05};
  for (const KneeConduction<>& law : {clamp, steering}) {
    const double off = law.knee_voltage - 40.0 * law.knee_width;
    const Dual<double, 1> below = knee_current(law, seed<1>(std::nextafter(off, off - 1.0), 0));
    const Dual<double, 1> above = knee_current(law, seed<1>(off, 0));
    const double reverse =
        off > 0.0 ? 0.0
                  : -law.knee_width / law.slope_resistance * std::log1p(std::exp(-law.knee_voltage / law.knee_width));
    CAPTURE(law);
    CHECK(close(below.value, reverse, 1e-14));
    CHECK(below.derivative[0] == 0.0);
    CHECK(std::abs(above.value - below.value) <= 1e-17 * law.knee_width / law.slope_resistance);
    CHECK(above.derivative[0] <= 1e-17 / law.slope_resistance);
  }
}

TEST_CASE("without a knee voltage the law subtracts its own current at zero") {
  const KneeConduction<> law{.knee_voltage = 0.0, .slope_resistance = 2.0, .knee_width = 0.1};
  CHECK(knee_current(law, 0.0) == 0.0);
  CHECK(close(knee_current(law, 0.1), 0.05 * (std::log1p(std::exp(1.0)) - std::log(2.0)), 1e-13));
  CHECK(close(knee_current(law, -50.0), -0.05 * std::log(2.0), 1e-13));
}

TEST_CASE("the knee never delivers power and carries nothing at zero volts") {
  Draw draw(51);
  for (int i = 0; i < 2000; ++i) {
    const auto law = draw.knee();
    const double v = draw.uniform(-900.0, 900.0);
    CAPTURE(law);
    CAPTURE(v);
    CHECK(knee_current(law, 0.0) == 0.0);
    CHECK(knee_current(law, v) * v >= 0.0);
  }
}

TEST_CASE("the slope of the knee is exact") {
  Draw draw(52);
  for (int i = 0; i < 500; ++i) {
    const auto law = draw.knee();
    const double v = law.knee_voltage + law.knee_width * draw.uniform(-30.0, 30.0);
    CAPTURE(law);
    CAPTURE(v);
    check_derivatives([&law](const auto& a) { return knee_current(law, a); }, v);
  }
}

TEST_CASE("the knee stays finite at enormous voltages and passes a NaN on") {
  Draw draw(53);
  for (int i = 0; i < 20; ++i) {
    const auto law = draw.knee();
    CAPTURE(law);
    check_finite_and_honest<1>([&law](const auto& a) { return knee_current(law, a); });
  }
}

}  // namespace
}  // namespace gateswing::device::test
