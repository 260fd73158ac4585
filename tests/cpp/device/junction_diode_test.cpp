// The junction diode: static law, and reverse recovery against the charge-control closed form.
#include <doctest/doctest.h>

#include <cmath>

#include "device/check.h"
#include "device/random_laws.h"
#include "gateswing/device/junction_diode.h"
#include "relative.h"

namespace gateswing::device::test {
namespace {

TEST_CASE("the static diode follows the exponential law and carries -I_s in reverse") {
  const JunctionDiode<> law{.saturation_current = 1e-9, .emission_voltage = 0.05, .transit_time = 0.0, .lifetime = 0.0};
  CHECK(diode_current(law, 0.0) == 0.0);
  CHECK(close(diode_current(law, 0.6), 1e-9 * std::expm1(12.0), 1e-14));
  CHECK(close(diode_current(law, -30.0), -1e-9, 1e-15));
}

TEST_CASE("the diode continues as a straight line beyond fifty emission voltages") {
  const JunctionDiode<> law{.saturation_current = 1e-9, .emission_voltage = 0.05, .transit_time = 0.0, .lifetime = 0.0};
  const auto joint = diode_current(law, seed<1>(2.5, 0));
  const double conductance = joint.derivative[0];
  CHECK(close(conductance, 1e-9 / 0.05 * std::exp(50.0), 1e-12));
  CHECK(close(diode_current(law, 4.5), joint.value + 2.0 * conductance, 1e-12));
}

TEST_CASE("the saturation current puts the forward drop where it was asked for, series resistance included") {
  const double emission = 0.045;
  const JunctionDiode<> law{.saturation_current = saturation_current_for(0.95, 10.0, 0.012, emission),
                            .emission_voltage = emission,
                            .transit_time = 0.0,
                            .lifetime = 0.0};
  CHECK(close(diode_current(law, 0.95 - 10.0 * 0.012), 10.0, 1e-13));
}

TEST_CASE("at rest, with the charge its current sustains, a recovering diode carries the static current") {
  Draw draw(41);
  for (int i = 0; i < 200; ++i) {
    const auto law = draw.diode();
    const double v = draw.uniform(-1.0, 0.8);
    CAPTURE(law);
    CAPTURE(v);
    const double rest = diode_current(law, v);
    const double rounding = 1e-14 * (1.0 + law.lifetime / law.transit_time);
    CHECK(std::abs(recovery_current(law, v, rest) - rest) <= rounding * std::abs(rest));
  }
}

/// What one reverse recovery shows, starting from rest at the forward current.
struct Recovery {
  double peak_current, charge, time_to_quarter;
};

/// One step of the fourth-order Runge-Kutta method for y' = (current(t, y) - y)/lifetime.
template <class Current>
double advanced(const Current& current, double lifetime, double t, double y, double h) {
  const auto rate = [&](double time, double state) { return (current(time, state) - state) / lifetime; };
  const double k1 = rate(t, y);
  const double k2 = rate(t + 0.5 * h, y + 0.5 * h * k1);
  const double k3 = rate(t + 0.5 * h, y + 0.5 * h * k2);
  const double k4 = rate(t + h, y + h * k3);
  return y + h * (k1 + 2.0 * k2 + 2.0 * k3 + k4) / 6.0;
}

/// The circuit forces i = forward_current - slope t for as long as the diode can follow, which it does with a forward
/// junction voltage; it cannot any more once the ramp asks for more reverse current than the stored charge gives at
/// zero volts. From then on it blocks: the junction is at a reverse voltage and the law alone sets the current.
Recovery recover(const JunctionDiode<>& law, double forward_current, double slope) {
  const double h = 2e-12;
  const auto forced = [&](double time, double) { return forward_current - slope * time; };
  double t = 0.0;
  double y = forward_current;
  while (forced(t, y) > recovery_current(law, 0.0, y)) {
    y = advanced(forced, law.lifetime, t, y, h);
    t += h;
  }
  const double peak = -forced(t, y);
  const double zero_crossing = forward_current / slope;
  const auto blocking = [&](double, double state) { return recovery_current(law, -20.0, state); };
  double charge = 0.5 * peak * (t - zero_crossing);
  double quarter = 0.0;
  while (-blocking(t, y) > 1e-6 * peak) {
    const double before = -blocking(t, y);
    y = advanced(blocking, law.lifetime, t, y, h);
    t += h;
    const double after = -blocking(t, y);
    charge += 0.5 * h * (before + after);
    if (before > 0.25 * peak && after <= 0.25 * peak) quarter = t - zero_crossing;
  }
  return {peak, charge, quarter};
}

const JunctionDiode<> recovering{
    .saturation_current = 1e-12, .emission_voltage = 0.026, .transit_time = 25e-9, .lifetime = 100e-9};

TEST_CASE("reverse recovery shows the peak, charge and time of the charge-control closed form") {
  // Lauritzen and Ma (1991) with lifetime 100 ns, transit time 25 ns, 10 A; figures evaluated from the closed form.
  const auto slow = recover(recovering, 10.0, 100e6);
  CHECK(slow.peak_current == gateswing_test::relative(6.4570, 1e-3));
  CHECK(slow.charge == gateswing_test::relative(337.6e-9, 1e-3));
  CHECK(slow.time_to_quarter == gateswing_test::relative(92.30e-9, 1e-3));
  const auto fast = recover(recovering, 10.0, 500e6);
  CHECK(fast.peak_current == gateswing_test::relative(16.4164, 1e-3));
  CHECK(fast.charge == gateswing_test::relative(597.8e-9, 1e-3));
  CHECK(fast.time_to_quarter == gateswing_test::relative(60.56e-9, 1e-3));
}

TEST_CASE("the recovery peak satisfies its implicit equation and the tail decays with 1/tau + 1/TM") {
  const double slope = 200e6;
  const double decay_time = 1.0 / (1.0 / recovering.lifetime + 1.0 / recovering.transit_time);
  const auto found = recover(recovering, 10.0, slope);
  const double ramp_time = (10.0 + found.peak_current) / slope;
  const double peak = slope * (recovering.lifetime - decay_time) * -std::expm1(-ramp_time / recovering.lifetime);
  CHECK(found.peak_current == gateswing_test::relative(peak, 1e-3));
  CHECK(found.charge == gateswing_test::relative(peak * peak / (2.0 * slope) + peak * decay_time, 1e-3));
  CHECK(found.time_to_quarter == gateswing_test::relative(peak / slope + std::log(4.0) * decay_time, 1e-3));
}

TEST_CASE("the faster the ramp the nearer the recovered charge comes to I (tau - tau_rr), from below") {
  const double bound = 10.0 * (100e-9 - 20e-9);
  double last = 0.0;
  for (const double slope : {1e8, 1e9, 1e10}) {
    CAPTURE(slope);
    const double charge = recover(recovering, 10.0, slope).charge;
    CHECK(charge > last);
    CHECK(charge < bound);
    last = charge;
  }
  CHECK(last > 0.95 * bound);
}

TEST_CASE("the diode never delivers power, not even with charge stored in reverse") {
  Draw draw(42);
  for (int i = 0; i < 1000; ++i) {
    const auto law = draw.diode();
    const double v = draw.uniform(-50.0, 1.5);
    const double stored = draw.log_uniform(1e-6, 100.0);
    CAPTURE(law);
    CAPTURE(v);
    CAPTURE(stored);
    CHECK(diode_current(law, v) * v >= 0.0);
    CHECK(recovery_current(law, -std::abs(v), stored) < 0.0);
  }
}

TEST_CASE("the slopes of the diode are exact, with and without recovery") {
  Draw draw(43);
  for (int i = 0; i < 500; ++i) {
    const auto law = draw.diode();
    const double v = draw.uniform(-3.0, 6.0);
    const double stored = draw.uniform(0.0, 50.0);
    CAPTURE(law);
    CAPTURE(v);
    CAPTURE(stored);
    check_derivatives([&law](const auto& a) { return diode_current(law, a); }, v);
    check_derivatives([&law](const auto& a, const auto& b) { return recovery_current(law, a, b); }, v, stored);
  }
}

TEST_CASE("the diode stays finite at enormous voltages and passes a NaN on") {
  Draw draw(44);
  for (int i = 0; i < 20; ++i) {
    const auto law = draw.diode();
    CAPTURE(law);
    check_finite_and_honest<1>([&law](const auto& a) { return diode_current(law, a); });
    check_finite_and_honest<2>([&law](const auto& a, const auto& b) { return recovery_current(law, a, b); });
  }
}

}  // namespace
}  // namespace gateswing::device::test
