// Ring frequency, decay and Q against the closed-form second-order step, with offsets, noise and too few cycles.
#include "gateswing/measure/ringing.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <random>
#include <stdexcept>

#include "measure/piecewise.h"
#include "measure/step_response.h"
#include "relative.h"
#include "waveform/record.h"

using namespace gateswing::measure;
using gateswing::waveform::Waveform;
using gateswing_test::even_edges;
using gateswing_test::record;
using gateswing_test::relative;
using gateswing_test::StepResponse;
using gateswing_test::uneven_edges;

namespace {

constexpr double natural = 2.0 * std::numbers::pi * 80e6;

Waveform recorded(const StepResponse& response, double end) {
  return record({{{"v_ds", "V"}, response}}, uneven_edges(0.0, end, 0.1e-9), 4);
}

}  // namespace

TEST_CASE("frequency, decay time, Q and damping ratio of an RLC step are exact to 1e-6 at four dampings") {
  for (const double zeta : {0.02, 0.1, 0.2, 0.5}) {
    const StepResponse response{natural, zeta, 48.0};
    const Waveform w = recorded(response, 120e-9);
    const auto found = ring(w, 0, 48.0, 0.05, {0.2 * response.period(), w.end()});
    CAPTURE(zeta);
    REQUIRE(found.has_value());
    CHECK(found->frequency == relative(1.0 / response.period(), 1e-6));
    CHECK(found->decay_time == relative(response.decay_time(), 1e-6));
    CHECK(found->quality() == relative(std::sqrt(1.0 - zeta * zeta) / (2.0 * zeta), 1e-6));
    CHECK(found->damping_ratio() == relative(zeta, 1e-6));
    const double decrement = 1.0 / (found->frequency * found->decay_time);
    CHECK(decrement == relative(2.0 * std::numbers::pi * zeta / std::sqrt(1.0 - zeta * zeta), 1e-6));
    // The extrema of a step lie on 48 V exp(-t / tau), t since the step.
    CHECK(found->begin == 0.2 * response.period());
    CHECK(found->amplitude == relative(48.0 * std::exp(-found->begin / response.decay_time()), 1e-6));
  }
}

TEST_CASE("half cycles are counted above the noise floor only") {
  // Extrema of the damping ratio 0.2: 48 V times 0.5266^n, n = 1, 2, ...: 25.3, 13.3, 7.01, 3.69, 1.94, ...
  const Waveform w = recorded({natural, 0.2, 48.0}, 60e-9);
  const Window window{3e-9, 60e-9};
  CHECK(ring(w, 0, 48.0, 3.6, window)->half_cycles == 4);
  CHECK(ring(w, 0, 48.0, 5.0, window)->half_cycles == 3);
  CHECK_FALSE(ring(w, 0, 48.0, 7.1, window).has_value());
}

TEST_CASE("an error of the settled value changes neither frequency nor decay") {
  const StepResponse response{natural, 0.05, 48.0};
  const Waveform w = recorded(response, 60e-9);
  for (const double settled : {46.0, 48.5, 50.0}) {
    const auto found = ring(w, 0, settled, 3.0, {3e-9, 60e-9});
    CAPTURE(settled);
    REQUIRE(found.has_value());
    CHECK(found->half_cycles >= 6);
    CHECK(found->frequency == relative(1.0 / response.period(), 4e-3));
    CHECK(found->decay_time == relative(response.decay_time(), 1e-5));
  }
}

TEST_CASE("a steady sine has its frequency exactly whatever the settled value, and a decay time without end") {
  const auto sine = [](double t) { return std::sin(t); };
  const auto w = record({{{"v", "V"}, sine}}, uneven_edges(0.0, 60.0, 0.02), 4);
  for (const double settled : {0.0, 0.3, -0.6}) {
    const auto found = ring(w, 0, settled, 0.1, {0.5, 59.0});
    REQUIRE(found.has_value());
    CHECK(found->frequency == relative(1.0 / (2.0 * std::numbers::pi), 1e-7));
    CHECK(std::abs(found->quality()) > 1e6);
  }
}

TEST_CASE("noise around the crossings makes no half cycles, keeps the frequency and lengthens the decay little") {
  const StepResponse response{natural, 0.05, 48.0};
  for (unsigned seed = 1; seed <= 20; ++seed) {
    std::mt19937 random(seed);
    std::normal_distribution<double> noise(0.0, 0.3);
    const auto w = record({{{"v_ds", "V"}, [&](double t) { return response(t) + noise(random); }}},
                          even_edges(0.0, 150e-9, 3000), 1);
    const auto found = ring(w, 0, 48.0, 2.5, {3e-9, 150e-9});
    CAPTURE(seed);
    REQUIRE(found.has_value());
    // 18 without noise, which can lift the next three (2.4, 2.1, 1.8 V) above the floor.
    CHECK(found->half_cycles >= 18);
    CHECK(found->half_cycles <= 21);
    CHECK(found->frequency == relative(1.0 / response.period(), 0.005));
    const double lengthened = found->decay_time / response.decay_time();  // noise lifts the extrema
    CHECK(lengthened > 1.0);
    CHECK(lengthened < 1.07);
  }
}

TEST_CASE("a half cycle that noise cuts in two is one, with the larger peak and crossings in the middle of the noise") {
  // 10, -8, 6.4, -5.12 V, each half cycle 1 s long; the second begins with a false start that falls back through zero.
  const gateswing_test::Corners shape{{0, 0.5, 1.0, 1.2, 1.25, 1.3, 1.7, 2.0, 2.5, 3.0, 3.5, 4.0, 4.5},
                                      {0, 10, 0, -3, 0.2, -3, -8, 0, 6.4, 0, -5.12, 0, 0}};
  const auto w = record({{{"v", "V"}, shape}}, shape.times, 1);
  const auto found = ring(w, 0, 0.0, 1.0, whole(w));
  REQUIRE(found.has_value());
  CHECK(found->half_cycles == 4);
  CHECK(found->frequency == relative(0.5, 1e-9));
  const auto heights = ring(w, 0, 0.0, 1.0, {0.75, 4.5});  // begins after the first peak
  REQUIRE(heights.has_value());
  CHECK(heights->half_cycles == 3);
}

TEST_CASE("the rest of the edge before the ring and the piece cut off at the end are no half cycles") {
  const StepResponse response{natural, 0.02, 48.0};
  const Waveform w = recorded(response, 60e-9);
  const double half = 0.5 * response.period();
  // From before the first arrival at 48 V to just past an extremum, then to just before one.
  CHECK(ring(w, 0, 48.0, 0.1, {0.1 * half, 5.1 * half})->half_cycles == 5);
  CHECK(ring(w, 0, 48.0, 0.1, {0.1 * half, 4.9 * half})->half_cycles == 4);
  CHECK(ring(w, 0, 48.0, 0.1, {1.1 * half, 5.1 * half})->half_cycles == 4);
}

TEST_CASE("the rest of an edge that begins flat is no half cycle, whatever noise adds to it") {
  // A current of 12 A falls into a ring of 4 A, which has lost 1/e after five cycles.
  const auto falling = [](double t) {
    if (t < 0.5) return 4.0 + 8.0 * std::cos(2.0 * std::numbers::pi * t);
    return 4.0 * std::exp(-(t - 0.5) / 5.0) * std::cos(2.0 * std::numbers::pi * t);
  };
  std::mt19937_64 random(11);
  std::normal_distribution<double> noise(0.0, 0.02);
  const auto noisy = [&](double t) { return falling(t) + noise(random); };
  const auto clean = record({{{"i_d", "A"}, falling}}, even_edges(0.0, 9.9, 990), 1);
  const auto samples = record({{{"i_d", "A"}, noisy}}, even_edges(0.0, 9.9, 990), 1);
  for (const Waveform& w : {clean, samples}) {
    const auto found = ring(w, 0, 0.0, 0.25, whole(w));
    REQUIRE(found.has_value());
    CHECK(found->decay_time == relative(5.0, 0.05));
    CHECK(found->amplitude == relative(4.0 * std::exp(0.1), 0.03));
  }
}

TEST_CASE("the amplitude of a ring that begins late is not carried back to the begin of the window") {
  const auto late = [](double t) { return t < 40.0 ? 0.0 : 2.0 * std::exp(-0.2 * (t - 40.0)) * std::sin(t - 40.0); };
  const auto w = record({{{"i_d", "A"}, late}}, uneven_edges(0.0, 80.0, 0.05), 4);
  const auto found = ring(w, 0, 0.0, 0.02, whole(w));
  REQUIRE(found.has_value());
  // The first extremum is where tan(t - 40) = 5.
  const double first = 40.0 + std::atan(5.0);
  CHECK(found->begin == relative(first - 2.0 * std::numbers::pi, 1e-4));
  const double amplitude = 2.0 * std::sin(std::atan(5.0)) * std::exp(-0.2 * (found->begin - 40.0));
  CHECK(found->amplitude == relative(amplitude, 1e-3));
}

TEST_CASE("a ring that grows has a negative decay time and damping ratio") {
  const auto growing = [](double t) { return std::exp(0.02 * t) * std::sin(t); };
  const auto w = record({{{"v", "V"}, growing}}, uneven_edges(0.0, 30.0, 0.05), 4);
  const auto found = ring(w, 0, 0.0, 0.1, whole(w));
  REQUIRE(found.has_value());
  CHECK(found->decay_time == relative(-50.0, 1e-4));
  CHECK(found->damping_ratio() == relative(-0.02, 1e-3));
}

TEST_CASE("a ring ends at a pause longer than its half cycle: a later burst is not part of it") {
  const auto bursts = [](double t) { return t < 31.0 ? std::exp(-0.2 * t) * std::sin(t) : std::sin(0.5 * (t - 31.0)); };
  const auto w = record({{{"v", "V"}, bursts}}, uneven_edges(0.0, 80.0, 0.05), 4);
  const auto found = ring(w, 0, 0.0, 0.05, whole(w));
  REQUIRE(found.has_value());
  CHECK(found->frequency == relative(1.0 / (2.0 * std::numbers::pi), 1e-5));
  CHECK(found->decay_time == relative(5.0, 1e-4));
}

TEST_CASE("no ring where nothing oscillates, and a negative noise floor is refused") {
  const auto w = record({{{"v", "V"}, [](double t) { return 1.0 - std::exp(-t); }}}, uneven_edges(0.0, 20.0, 0.1), 4);
  CHECK_FALSE(ring(w, 0, 1.0, 1e-3, whole(w)).has_value());
  CHECK_FALSE(ring(w, 0, 0.5, 1e-3, whole(w)).has_value());
  CHECK_THROWS_AS(ring(w, 0, 1.0, -1.0, whole(w)), std::invalid_argument);
}
