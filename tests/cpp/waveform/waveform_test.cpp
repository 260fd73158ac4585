// The waveform container: appending, reading at any time, one-sided values at jumps, errors in words.
#include "gateswing/waveform/waveform.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <stdexcept>
#include <string>

#include "relative.h"
#include "waveform/record.h"

using namespace gateswing::waveform;
using gateswing_test::even_edges;
using gateswing_test::record;
using gateswing_test::relative;

namespace {

const Channel gate{"gate", "V"};
const Channel drain{"drain", "V"};

double quartic(double t) {
  return 1.0 - 2.0 * t + 0.5 * t * t * t - 0.25 * t * t * t * t;
}
double quartic_slope(double t) {
  return -2.0 + 1.5 * t * t - t * t * t;
}

// 0 rising to 1 over [0, 1]; then a jump to 5 and a fall to 3 over [1, 2].
Waveform with_jump() {
  Waveform waveform({gate}, 1);
  waveform.append_step(0.0, 1.0, std::vector{0.0, 1.0});
  waveform.append_step(1.0, 2.0, std::vector{5.0, 3.0});
  return waveform;
}

}  // namespace

TEST_CASE("a quartic recorded at degree 4 on uneven steps is reproduced, with its slope, at every time") {
  const Waveform w = record({{gate, quartic}}, {-1.0, -0.9, 0.2, 0.25, 2.0}, 4);
  for (int i = 0; i <= 300; ++i) {
    const double t = -1.0 + i / 100.0;
    CHECK(w.value(0, t) == relative(quartic(t), 1e-12));
    CHECK(w.derivative(0, t) == relative(quartic_slope(t), 1e-11));
  }
}

TEST_CASE("halving the steps of a recorded sine divides the degree-4 error by about 32") {
  const auto sine = [](double t) { return std::sin(t); };
  const auto worst = [&sine](std::size_t steps) {
    const Waveform w = record({{gate, sine}}, even_edges(0.0, 6.0, steps), 4);
    double error = 0.0;
    for (int i = 0; i <= 6000; ++i) error = std::max(error, std::abs(w.value(0, i * 1e-3) - std::sin(i * 1e-3)));
    return error;
  };
  const double ratio = worst(8) / worst(16);
  CHECK(ratio > 25.0);
  CHECK(ratio < 40.0);
}

TEST_CASE("a jump at a joint keeps both one-sided values; reading there gives the value after it") {
  const Waveform w = with_jump();
  CHECK(w.value(0, 1.0) == relative(5.0, 1e-9));
  CHECK(w.value(0, std::nextafter(1.0, 0.0)) == relative(1.0, 1e-9));
  CHECK(w.derivative(0, 1.0) == relative(-2.0, 1e-9));
  CHECK(w.value(0, 2.0) == relative(3.0, 1e-9));
  CHECK(w.nodes(0, 0)[1] == 1.0);
  CHECK(w.nodes(0, 1)[0] == 5.0);
}

TEST_CASE("node times and values are laid out per channel, the time of a joint twice") {
  Waveform w({gate, drain}, 2);
  w.append_step(0.0, 2.0, std::vector{1.0, 10.0, 2.0, 20.0, 3.0, 30.0});
  w.append_step(2.0, 3.0, std::vector{3.0, 30.0, 4.0, 40.0, 5.0, 50.0});
  CHECK(w.steps() == 2);
  CHECK(std::vector(w.times().begin(), w.times().end()) == std::vector{0.0, 1.0, 2.0, 2.0, 2.5, 3.0});
  CHECK(std::vector(w.values(1).begin(), w.values(1).end()) == std::vector{10.0, 20.0, 30.0, 30.0, 40.0, 50.0});
  CHECK(w.step_begin(1) == 2.0);
  CHECK(w.step_end(1) == 3.0);
  CHECK(w.begin() == 0.0);
  CHECK(w.end() == 3.0);
}

TEST_CASE("resampling gives value() at each time, in whatever order the times come") {
  const Waveform w = record({{gate, quartic}}, even_edges(0.0, 2.0, 7), 3);
  const std::vector<double> times{1.9, 0.0, 0.1, 0.11, 2.0, 2.0 / 7.0, 1.0};
  const std::vector<double> values = w.resample(0, times);
  for (std::size_t i = 0; i < times.size(); ++i) CHECK(values[i] == w.value(0, times[i]));
}

TEST_CASE("sampled data become straight lines between the samples") {
  const std::vector<double> times{0.0, 1.0, 3.0};
  const std::vector<double> volts{0.0, 2.0, -2.0};
  const std::vector<std::span<const double>> values{volts};
  const Waveform w = Waveform::from_samples({gate}, times, values);
  CHECK(w.degree() == 1);
  CHECK(w.steps() == 2);
  CHECK(w.value(0, 0.25) == relative(0.5, 1e-9));
  CHECK(w.value(0, 2.0) == 0.0);
}

TEST_CASE("a waveform rebuilt from its node times and values equals the original") {
  const Waveform w = record({{gate, quartic}, {drain, quartic_slope}}, {0.0, 1e-9, 1.0 / 3.0, 0.7}, 4);
  const std::vector<double> times(w.times().begin(), w.times().end());
  std::vector<std::vector<double>> values;
  for (std::size_t c = 0; c < 2; ++c) values.emplace_back(w.values(c).begin(), w.values(c).end());
  CHECK(Waveform::from_nodes(w.channels(), 4, times, values) == w);

  std::vector<double> moved = times;
  moved[7] += 0.01;
  CHECK_THROWS_WITH_AS(Waveform::from_nodes(w.channels(), 4, moved, values),
                       "the nodes of the waveform step that begins at 1e-09 s are not equally spaced",
                       std::invalid_argument);
  CHECK_THROWS_AS(Waveform::from_nodes(w.channels(), 3, times, values), std::invalid_argument);
}

TEST_CASE("clearing drops the steps but keeps the memory they used") {
  Waveform w = record({{gate, quartic}}, even_edges(0.0, 1.0, 100), 4);
  const double* memory = w.values(0).data();
  const double* memory_of_times = w.times().data();
  w.clear();
  CHECK(w.empty());
  CHECK(w.channels().size() == 1);
  const std::vector<std::vector<double>> takers(2, std::vector<double>(500));  // would get memory given back
  w.append_step(5.0, 6.0, std::vector<double>(5, 1.0));
  CHECK(w.values(0).data() == memory);
  CHECK(w.times().data() == memory_of_times);
}

TEST_CASE("an unknown channel is refused with the names there are") {
  const Waveform w({gate, drain}, 1);
  CHECK(w.channel("drain") == 1);
  CHECK_THROWS_WITH_AS(w.channel("source"), "the waveform has no channel 'source'; its channels are: gate, drain",
                       std::invalid_argument);
}

TEST_CASE("a time outside the waveform is refused with the range it covers") {
  const Waveform w = with_jump();
  CHECK_THROWS_WITH_AS(w.value(0, 2.5e0), "time 2.5 s is outside the waveform, which covers 0 s to 2 s",
                       std::invalid_argument);
  CHECK_THROWS_AS(w.value(0, -1e-300), std::invalid_argument);
  CHECK_THROWS_AS(w.value(0, std::numeric_limits<double>::quiet_NaN()), std::invalid_argument);
  CHECK_THROWS_AS(Waveform({gate}, 1).begin(), std::invalid_argument);
}

TEST_CASE("ill-formed channels and steps are refused") {
  CHECK_THROWS_AS(Waveform({gate, gate}, 1), std::invalid_argument);
  CHECK_THROWS_AS(Waveform({{"", "V"}}, 1), std::invalid_argument);
  CHECK_THROWS_AS(Waveform({gate}, 0), std::invalid_argument);
  CHECK_THROWS_AS(Waveform({gate}, max_degree + 1), std::invalid_argument);

  Waveform w = with_jump();
  const std::vector<double> nodes{0.0, 1.0};
  CHECK_THROWS_AS(w.append_step(2.1, 3.0, nodes), std::invalid_argument);  // a gap
  CHECK_THROWS_AS(w.append_step(2.0, 2.0, nodes), std::invalid_argument);  // no length
  CHECK_THROWS_AS(w.append_step(2.0, 3.0, std::vector{0.0}), std::invalid_argument);
  CHECK_THROWS_AS(w.append_step(2.0, 3.0, std::vector{0.0, std::nan("")}), std::invalid_argument);
  CHECK(w.steps() == 2);
  CHECK(w.values(0).size() == w.times().size());
}

TEST_CASE("samples that do not fit together are refused") {
  const std::vector<double> times{0.0, 1.0, 2.0};
  const std::vector<double> backwards{0.0, 2.0, 1.0};
  const std::vector<double> good{0.0, 2.0, 3.0};
  const std::vector<double> two{0.0, 1.0};
  const std::vector<double> infinite{0.0, std::numeric_limits<double>::infinity(), 1.0};
  const auto build = [](const std::vector<double>& t, const std::vector<double>& v) {
    const std::vector<std::span<const double>> values{v};
    return Waveform::from_samples({gate}, t, values);
  };
  CHECK_THROWS_WITH_AS(build(times, two), "channel 'gate' has 2 values for 3 times", std::invalid_argument);
  CHECK_THROWS_WITH_AS(build(times, infinite), "channel 'gate' holds a value that is not a finite number",
                       std::invalid_argument);
  CHECK_THROWS_AS(build(backwards, good), std::invalid_argument);
  CHECK_THROWS_AS(build({0.0}, {0.0}), std::invalid_argument);
  CHECK_NOTHROW(build(times, good));
}
