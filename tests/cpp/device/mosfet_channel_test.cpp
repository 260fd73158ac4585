// The channel law: its textbook limits, symmetry, passivity and exact slopes.
#include <doctest/doctest.h>

#include <cmath>

#include "device/check.h"
#include "device/random_laws.h"
#include "gateswing/device/mosfet_channel.h"

namespace gateswing::device::test {
namespace {

const MosfetChannel<> plain{.threshold_voltage = 3.0,
                            .transconductance_factor = 20.0,
                            .mobility_degradation = 0.0,
                            .subthreshold_voltage = 0.04};

TEST_CASE("below threshold the current falls one decade per w ln 10 of gate voltage") {
  const double decade = plain.subthreshold_voltage * std::log(10.0);
  const double upper = channel_current(plain, 1.0, 5.0);
  const double lower = channel_current(plain, 1.0 - decade, 5.0);
  CHECK(close(upper / lower, 10.0, 1e-9));
}

TEST_CASE("below threshold the current saturates with drain voltage as 1 - exp(-v_ds/w)") {
  const double w = plain.subthreshold_voltage;
  const double prefactor = 2.0 * plain.transconductance_factor * w * w;
  const double gate = std::exp((1.0 - plain.threshold_voltage) / w);
  for (const double v_ds : {0.01, 0.04, 0.1, 0.5}) {
    CAPTURE(v_ds);
    CHECK(close(channel_current(plain, 1.0, v_ds), prefactor * gate * (1.0 - std::exp(-v_ds / w)), 1e-9));
  }
}

TEST_CASE("strongly on, the triode current is K (ov v_ds - v_ds^2/2)") {
  for (const double v_ds : {1e-6, 0.1, 1.0, 3.0}) {
    CAPTURE(v_ds);
    CHECK(close(channel_current(plain, 10.0, v_ds), 20.0 * (7.0 * v_ds - 0.5 * v_ds * v_ds), 1e-9));
  }
}

TEST_CASE("strongly on, the saturation current is K/2 ov^2 whatever the drain voltage") {
  for (const double v_ds : {12.0, 50.0, 400.0}) {
    CAPTURE(v_ds);
    CHECK(close(channel_current(plain, 10.0, v_ds), 0.5 * 20.0 * 49.0, 1e-9));
  }
}

TEST_CASE("at threshold the smooth overdrive is 2 w ln 2") {
  CHECK(close(channel_overdrive(plain, 3.0), 0.08 * std::log(2.0), 1e-15));
}

TEST_CASE("mobility degradation divides the saturation current by 1 + theta/2 ov and bounds the transconductance") {
  auto law = plain;
  law.mobility_degradation = 0.1;
  CHECK(close(channel_current(law, 10.0, 50.0), 0.5 * 20.0 * 49.0 / (1.0 + 0.05 * 7.0), 1e-9));
  const double v = 1e6;
  CHECK(close(channel_current(law, seed<2>(v, 0), seed<2>(2.0 * v, 1)).derivative[0], 20.0 / 0.1, 1e-8));
}

TEST_CASE("drain and source may be exchanged: i(v_gs, v_ds) = -i(v_gs - v_ds, -v_ds)") {
  Draw draw(21);
  for (int i = 0; i < 500; ++i) {
    const auto law = draw.channel();
    const double v_gs = draw.uniform(-20.0, 20.0);
    const double v_ds = draw.uniform(-30.0, 30.0);
    CAPTURE(law);
    CAPTURE(v_gs);
    CAPTURE(v_ds);
    CHECK(close(channel_current(law, v_gs, v_ds), -channel_current(law, v_gs - v_ds, -v_ds), 1e-11));
  }
  CHECK(channel_current(plain, 10.0, 0.0) == 0.0);
}

TEST_CASE("the channel never delivers power, and never less current for more voltage") {
  Draw draw(22);
  for (int i = 0; i < 2000; ++i) {
    const auto law = draw.channel();
    const double v_gs = draw.uniform(-20.0, 20.0);
    const double v_ds = draw.uniform(-30.0, 400.0);
    CAPTURE(law);
    CAPTURE(v_gs);
    CAPTURE(v_ds);
    const auto current = channel_current(law, seed<2>(v_gs, 0), seed<2>(v_ds, 1));
    CHECK(current.value * v_ds >= 0.0);
    CHECK(current.derivative[0] * v_ds >= 0.0);
    CHECK(current.derivative[1] >= 0.0);
  }
}

TEST_CASE("transconductance and output conductance of the channel are exact") {
  Draw draw(23);
  for (int i = 0; i < 1000; ++i) {
    const auto law = draw.channel();
    const double v_gs = draw.uniform(-5.0, 15.0);
    const double v_ds = draw.uniform(-20.0, 60.0);
    CAPTURE(law);
    CAPTURE(v_gs);
    CAPTURE(v_ds);
    check_derivatives([&law](const auto& a, const auto& b) { return channel_current(law, a, b); }, v_gs, v_ds);
  }
}

TEST_CASE("in deep saturation the output conductance keeps its digits: 2 K w exp((v_gd - V_th)/w)") {
  for (const double v_gd : {1.0, 0.0, -10.0}) {
    CAPTURE(v_gd);
    const double v_gs = 5.0;
    const auto current = channel_current(plain, seed<2>(v_gs, 0), seed<2>(v_gs - v_gd, 1));
    CHECK(close(current.derivative[1], 2.0 * 20.0 * 0.04 * std::exp((v_gd - 3.0) / 0.04), 1e-9));
  }
}

TEST_CASE("the channel law stays finite at enormous voltages and passes a NaN on") {
  Draw draw(24);
  for (int i = 0; i < 20; ++i) {
    const auto law = draw.channel();
    CAPTURE(law);
    check_finite_and_honest<2>([&law](const auto& a, const auto& b) { return channel_current(law, a, b); });
  }
}

}  // namespace
}  // namespace gateswing::device::test
