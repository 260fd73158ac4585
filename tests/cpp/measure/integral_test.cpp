// Charge, energy, mean and effective value: textbook piecewise-linear losses and exactness for polynomials.
#include "gateswing/measure/integral.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <stdexcept>

#include "gateswing/measure/extrema.h"
#include "measure/piecewise.h"
#include "relative.h"

using namespace gateswing::measure;
using gateswing::waveform::Waveform;
using gateswing_test::corners;
using gateswing_test::even_edges;
using gateswing_test::record;
using gateswing_test::relative;
using gateswing_test::uneven_edges;

namespace {

// M. H. Rashid, Power Electronics, 4th ed., example 4.2: a 250 V, 100 A switch at 10 kHz, every interval a straight
// line. Seen as a transcription with the printed results; recomputed from the same lines.
struct RashidSwitch {
  static constexpr double supply = 250.0, on_voltage = 2.0, on_current = 100.0, leakage = 3e-3, frequency = 10e3;
  static constexpr double delay = 0.5e-6, rise = 1e-6, storage = 5e-6, fall = 3e-6;
  static constexpr double rise_begin = delay, rise_end = rise_begin + rise, storage_begin = 50e-6,
                          fall_begin = storage_begin + storage, fall_end = fall_begin + fall, period = 1e-4;
};

// Jumps (leakage to load current path) are drawn as such: each interval is a step with its own end values.
Waveform rashid_waveform() {
  using R = RashidSwitch;
  Waveform w({{"v_ce", "V"}, {"i_c", "A"}}, 1);
  const auto line = [&w](double begin, double end, double v0, double i0, double v1, double i1) {
    w.append_step(begin, end, std::vector{v0, i0, v1, i1});
  };
  line(0.0, R::rise_begin, R::supply, R::leakage, R::supply, R::leakage);
  line(R::rise_begin, R::rise_end, R::supply, 0.0, R::on_voltage, R::on_current);
  line(R::rise_end, R::storage_begin, R::on_voltage, R::on_current, R::on_voltage, R::on_current);
  line(R::storage_begin, R::fall_begin, R::on_voltage, R::on_current, R::on_voltage, R::on_current);
  line(R::fall_begin, R::fall_end, 0.0, R::on_current, R::supply, 0.0);
  line(R::fall_end, R::period, R::supply, R::leakage, R::supply, R::leakage);
  return w;
}

double power(const Waveform& w, double begin, double end) {
  return RashidSwitch::frequency * integral_of_product(w, 0, 1, {begin, end});
}

}  // namespace

TEST_CASE("Rashid 4.2: delay 3.75 mW, rise 42.33 W, conduction 97 W, storage 10 W, fall 125 W, off 0.315 W") {
  using R = RashidSwitch;
  const Waveform w = rashid_waveform();
  CHECK(std::abs(power(w, 0.0, R::rise_begin) - 3.75e-3) < 0.005e-3);
  CHECK(std::abs(power(w, R::rise_begin, R::rise_end) - 42.33) < 0.005);
  CHECK(std::abs(power(w, R::rise_end, R::storage_begin) - 97.0) < 0.5);
  CHECK(power(w, R::rise_end, R::storage_begin) == relative(97.0, 1e-9));
  CHECK(power(w, R::storage_begin, R::fall_begin) == relative(10.0, 1e-9));
  CHECK(power(w, R::fall_begin, R::fall_end) == relative(125.0, 1e-9));
  CHECK(std::abs(power(w, R::fall_end, R::period) - 0.315) < 0.0005);
}

TEST_CASE("Rashid 4.2: the power during the rise peaks at 6300 W, 0.504 us after it began") {
  using R = RashidSwitch;
  const auto watts = [](double t) {
    const double fraction = t / R::rise;
    return (R::supply + (R::on_voltage - R::supply) * fraction) * R::on_current * fraction;
  };
  const auto w = record({{{"p", "W"}, watts}}, even_edges(0.0, R::rise, 3), 2);
  const Extremum peak = maximum(w, 0, whole(w));
  CHECK(std::abs(peak.value - 6300.0) < 0.5);
  CHECK(std::abs(peak.time - 0.504e-6) < 0.0005e-6);
}

TEST_CASE("voltage and current crossing over the same time lose V I t / 6, one after the other V I t / 2") {
  const double v = 400.0, i = 20.0, t = 50e-9;
  const auto together = record({corners("v", "V", {{0, t}, {v, 0}}), corners("i", "A", {{0, t}, {0, i}})}, {0, t}, 1);
  CHECK(integral_of_product(together, 0, 1, whole(together)) == relative(v * i * t / 6.0, 1e-12));
  const auto in_turn =
      record({corners("v", "V", {{t / 2, t}, {v, 0}}), corners("i", "A", {{0, t / 2}, {0, i}})}, {0, t / 2, t}, 1);
  CHECK(integral_of_product(in_turn, 0, 1, whole(in_turn)) == relative(v * i * t / 2.0, 1e-12));
}

TEST_CASE("integrals of sixth-degree channels and of their products are exact over any window") {
  const auto sixth = [](double t) { return std::pow(t, 6) - 3.0 * std::pow(t, 4) + t; };
  const auto w = record({{{"a", "V"}, sixth}}, {-1.0, -0.4, 0.3, 2.0}, 6);
  const auto antiderivative = [](double t) { return std::pow(t, 7) / 7.0 - 0.6 * std::pow(t, 5) + t * t / 2.0; };
  const auto squared = [](double t) {
    return std::pow(t, 13) / 13.0 - 6.0 / 11.0 * std::pow(t, 11) + std::pow(t, 9) + std::pow(t, 8) / 4.0 -
           std::pow(t, 6) + std::pow(t, 3) / 3.0;
  };
  for (const Window window : {Window{-1.0, 2.0}, {-0.9, 0.1}, {-0.2, 0.2}, {0.3, 1.7}}) {
    CHECK(integral(w, 0, window) == relative(antiderivative(window.end) - antiderivative(window.begin), 1e-12));
    CHECK(integral_of_product(w, 0, 0, window) == relative(squared(window.end) - squared(window.begin), 1e-12));
  }
  CHECK(integral(w, 0, {0.5, 0.5}) == 0.0);
}

TEST_CASE("a capacitor's charge and a resistor's heat: RC charging takes C V and loses C V^2 / 2") {
  const double r = 9.0, c = 2e-9, v = 12.0, tau = r * c;
  const auto current = [=](double t) { return v / r * std::exp(-t / tau); };
  const auto across = [=](double t) { return v * std::exp(-t / tau); };
  const auto w =
      record({{{"i_g", "A"}, current}, {{"v_r", "V"}, across}}, uneven_edges(0.0, 30.0 * tau, tau / 20.0), 4);
  CHECK(integral(w, 0, whole(w)) == relative(c * v, 1e-7));
  CHECK(integral_of_product(w, 0, 1, whole(w)) == relative(0.5 * c * v * v, 1e-7));
}

TEST_CASE("over whole cycles a sine of amplitude 3 about 1 has mean 1 and effective value sqrt(1 + 9/2)") {
  const double cycle = 2.0 * std::numbers::pi;
  const auto w =
      record({{{"i", "A"}, [](double t) { return 1.0 + 3.0 * std::sin(t); }}}, uneven_edges(0.0, 20.0, 0.05), 4);
  CHECK(mean(w, 0, {0.7, 0.7 + 2.0 * cycle}) == relative(1.0, 1e-7));
  CHECK(root_mean_square(w, 0, {0.7, 0.7 + 2.0 * cycle}) == relative(std::sqrt(5.5), 1e-7));
  CHECK_THROWS_AS(mean(w, 0, {1.0, 1.0}), std::invalid_argument);
}
