// The driver output: resistances, limits and drops each way, passivity, exact slopes.
#include <doctest/doctest.h>

#include <cmath>

#include "device/check.h"
#include "device/random_laws.h"
#include "gateswing/device/driver_output.h"
#include "relative.h"

namespace gateswing::device::test {
namespace {

const DriverOutput<> resistive{.source_resistance = 4.0,
                               .sink_resistance = 2.0,
                               .inverse_source_limit = 0.0,
                               .inverse_sink_limit = 0.0,
                               .source_drop = 0.0,
                               .sink_drop = 0.0,
                               .drop_width = 0.05};

TEST_CASE("without drops and limits the output is a resistance to the supply or to the reference, exactly") {
  for (const double v : {-3.0, -0.01, 1e-9, 0.3, 12.0}) {
    CAPTURE(v);
    CHECK(driver_current(resistive, v, 12.0 - v, 1.0) == v / 4.0);
    CHECK(driver_current(resistive, 12.0 - v, v, 0.0) == -v / 2.0);
  }
}

TEST_CASE("during its edge the output is two conductances, one going as the other comes, by Norton's theorem") {
  for (const double a : {0.0, 0.03, 0.5, 0.9, 1.0}) {
    for (const double v : {-1.0, 0.5, 3.0, 11.0}) {
      CAPTURE(a);
      CAPTURE(v);
      const double expected = a * (12.0 - v) / 4.0 - (1.0 - a) * v / 2.0;
      CHECK(std::abs(driver_current(resistive, 12.0 - v, v, a) - expected) < 1e-14);
    }
  }
}

TEST_CASE("a strong side that lets go lends no strength to the weak one") {
  auto law = resistive;
  law.source_resistance = 1e3;
  law.sink_resistance = 1.0;
  law.leakage_conductance = 1e-6;
  Draw draw(64);
  for (int i = 0; i < 1000; ++i) {
    const double v = draw.uniform(0.0, 12.0);
    const double a = draw.uniform(0.0, 1.0);
    CAPTURE(v);
    CAPTURE(a);
    CHECK(driver_current(law, 12.0 - v, v, a) <= (12.0 - v) * (1.0 / 1e3 + 1e-6));
  }
}

TEST_CASE("the current out never rises with the output voltage, at any command") {
  Draw draw(65);
  for (int i = 0; i < 2000; ++i) {
    const auto law = draw.driver();
    const double v = draw.uniform(-5.0, 20.0);
    const double a = draw.uniform(0.0, 1.0);
    CAPTURE(law);
    CAPTURE(v);
    CAPTURE(a);
    const auto out = seed<1>(v, 0);
    CHECK(driver_current(law, Dual<double, 1>(12.0) - out, out, Dual<double, 1>(a)).derivative[0] <= 0.0);
  }
}

TEST_CASE("each direction of flow has its own current limit, approached smoothly") {
  auto law = resistive;
  law.inverse_source_limit = 1.0 / 0.2;
  law.inverse_sink_limit = 1.0 / 0.5;
  CHECK(driver_current(law, 1e4, 0.0, 1.0) == gateswing_test::relative(0.2, 1e-6));
  CHECK(driver_current(law, 0.0, 1e4, 0.0) == gateswing_test::relative(-0.5, 1e-6));
  CHECK(driver_current(law, 0.2 * 4.0, 0.0, 1.0) == gateswing_test::relative(0.2 / std::sqrt(2.0), 1e-14));
  CHECK(driver_current(law, 0.0, 0.5 * 2.0, 0.0) == gateswing_test::relative(-0.5 / std::sqrt(2.0), 1e-14));
  // The limit belongs to the direction of flow, not to the command: current pushed back into the sourcing output.
  CHECK(driver_current(law, -1e4, 0.0, 1.0) == gateswing_test::relative(-0.5, 1e-6));
}

TEST_CASE("a drop takes its voltage off the drive and leaves a dead zone") {
  auto law = resistive;
  law.source_drop = 0.7;
  law.sink_drop = 0.4;
  CHECK(driver_current(law, 5.0, 0.0, 1.0) == gateswing_test::relative((5.0 - 0.7) / 4.0, 1e-13));
  CHECK(driver_current(law, 0.0, 5.0, 0.0) == gateswing_test::relative(-(5.0 - 0.4) / 2.0, 1e-13));
  CHECK(std::abs(driver_current(law, 0.2, 0.0, 1.0)) < 0.05 / 4.0 * std::exp(-0.5 / 0.05) * 1.01);
  CHECK(driver_current(law, 0.0, 0.0, 1.0) == 0.0);
}

TEST_CASE("value and slope are continuous where the current changes direction between unequal limits") {
  auto law = resistive;
  law.inverse_source_limit = 100.0;
  law.inverse_sink_limit = 0.1;
  const auto below = driver_current(law, seed<3>(-1e-9, 0), seed<3>(0.0, 1), seed<3>(1.0, 2));
  const auto above = driver_current(law, seed<3>(1e-9, 0), seed<3>(0.0, 1), seed<3>(1.0, 2));
  CHECK(std::abs(above.value - below.value) < 1e-9);
  CHECK(close(below.derivative[0], above.derivative[0], 1e-12));
}

TEST_CASE("the output stage never makes energy: i (b up - (1 - b) down) is never negative") {
  Draw draw(61);
  for (int i = 0; i < 5000; ++i) {
    const auto law = draw.driver();
    const double up = draw.uniform(-5.0, 20.0);
    const double down = draw.uniform(-5.0, 20.0);
    const double a = draw.uniform(-0.2, 1.2) < 0.5 ? draw.uniform(0.0, 1.0) : std::round(draw.uniform(0.0, 1.0));
    CAPTURE(law);
    CAPTURE(up);
    CAPTURE(down);
    CAPTURE(a);
    const double share = source_share(coefficients(law), a);
    CHECK(driver_current(law, up, down, a) * (share * up - (1.0 - share) * down) >= 0.0);
  }
}

TEST_CASE("the slopes of the driver output are exact, those of the command included") {
  Draw draw(62);
  for (int i = 0; i < 1000; ++i) {
    const auto law = draw.driver();
    const double up = draw.uniform(-2.0, 15.0);
    const double down = draw.uniform(-2.0, 15.0);
    const double a = draw.uniform(0.01, 0.99);
    CAPTURE(law);
    CAPTURE(up);
    CAPTURE(down);
    CAPTURE(a);
    check_derivatives([&law](const auto& x, const auto& y, const auto& z) { return driver_current(law, x, y, z); }, up,
                      down, a);
  }
}

TEST_CASE("the driver output stays finite at enormous voltages and passes a NaN on") {
  Draw draw(63);
  for (int i = 0; i < 10; ++i) {
    const auto law = draw.driver();
    CAPTURE(law);
    for (const double a : {0.0, 0.3, 1.0}) {
      CAPTURE(a);
      check_finite_and_honest<2>([&law, a](const auto& up, const auto& down) {
        using T = std::decay_t<decltype(up)>;
        return driver_current(law, up, down, T(a));
      });
    }
  }
}

}  // namespace
}  // namespace gateswing::device::test
