// Laws at other temperatures: closed forms of their coefficients, and the channel's zero-temperature-coefficient point.
#include <doctest/doctest.h>

#include <cmath>

#include "device/check.h"
#include "gateswing/device/temperature.h"
#include "relative.h"

namespace gateswing::device::test {
namespace {

constexpr Warming<> hot{298.15, 398.15};
constexpr MosfetTemperature<> coefficients{
    .threshold_slope = -6e-3, .mobility_exponent = 2.0, .drift_exponent = 2.2, .breakdown_slope = 0.05};
constexpr DiodeTemperature<> junction{.barrier_voltage = 1.12, .current_exponent = 3.0, .lifetime_exponent = 1.8};

MosfetChannel<> channel() {
  return {.threshold_voltage = 3.0,
          .transconductance_factor = 40.0,
          .mobility_degradation = 0.0,
          .subthreshold_voltage = 0.03};
}

double saturation(double gate_voltage, double temperature) {
  return channel_current(at_temperature(channel(), coefficients, {298.15, temperature}), gate_voltage, 40.0);
}

TEST_CASE("nothing changes at the temperature the parameters were stated for") {
  const MosfetChannel<> same = at_temperature(channel(), coefficients, {298.15, 298.15});
  CHECK(same.threshold_voltage == 3.0);
  CHECK(same.transconductance_factor == 40.0);
  CHECK(same.subthreshold_voltage == 0.03);
}

TEST_CASE("a hot channel conducts more below its zero-temperature-coefficient point and less above") {
  // Square law: d ln i/dT = -m/T0 - 2 slope/(v_gs - V_th) = 0.
  const double point = 3.0 + 2.0 * 6e-3 * 298.15 / 2.0;
  CHECK(saturation(point - 0.5, 398.15) > saturation(point - 0.5, 298.15));
  CHECK(saturation(point + 1.5, 398.15) < saturation(point + 1.5, 298.15));
  const double step = 0.05;
  const double slope = (saturation(point, 298.15 + step) - saturation(point, 298.15 - step)) / (2.0 * step);
  CHECK(std::abs(slope) * 298.15 < 1e-5 * saturation(point, 298.15));
}

TEST_CASE("the forward voltage falls by (barrier + exponent n V_T - v)/T0 per kelvin") {
  const double emission = 0.04;
  const double current = 10.0;
  const JunctionDiode<> law{saturation_current_for(0.85, current, 0.0, emission), emission, 20e-9, 80e-9};
  const auto forward = [&](double temperature) {
    const JunctionDiode<> at = at_temperature(law, junction, {298.15, temperature});
    return at.emission_voltage * std::log1p(current / at.saturation_current);
  };
  const double expected = (0.85 - 1.12 - 3.0 * emission) / 298.15;
  CHECK((forward(298.65) - forward(297.65)) / 1.0 == gateswing_test::relative(expected, 1e-4));
}

TEST_CASE("a hot MOSFET: drift resistance and lifetime by their powers, breakdown by its slope") {
  Mosfet<> mosfet;
  mosfet.channel = channel();
  mosfet.body_diode = {1e-12, 0.04, 20e-9, 80e-9};
  mosfet.drift_resistance = 5e-3;
  mosfet.breakdown = {100.0, 0.1, 0.5};
  const Mosfet<> warm = at_temperature(mosfet, coefficients, junction, hot);
  CHECK(warm.drift_resistance == gateswing_test::relative(5e-3 * std::pow(398.15 / 298.15, 2.2), 1e-12));
  CHECK(warm.body_diode.lifetime == gateswing_test::relative(80e-9 * std::pow(398.15 / 298.15, 1.8), 1e-12));
  CHECK(warm.body_diode.transit_time == 20e-9);
  CHECK(warm.breakdown.knee_voltage == gateswing_test::relative(105.0, 1e-12));
  CHECK(warm.channel.threshold_voltage == gateswing_test::relative(2.4, 1e-12));
}

}  // namespace
}  // namespace gateswing::device::test
