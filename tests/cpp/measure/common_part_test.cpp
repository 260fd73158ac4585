// What two channels have in common: triangles by hand, and random polynomials against summation.
#include "gateswing/measure/common_part.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <random>
#include <vector>

#include "measure/piecewise.h"
#include "relative.h"

using namespace gateswing::measure;
using gateswing::waveform::Waveform;
using gateswing_test::relative;

namespace {

/// One step from 0 to 1 s with random values at five nodes.
Waveform random_step(std::mt19937& random) {
  std::uniform_real_distribution<double> value(-1.0, 1.0);
  Waveform w({{"a", "A"}, {"b", "A"}, {"v", "V"}}, 4);
  std::vector<double> nodes(15);
  for (double& node : nodes) node = value(random);
  w.append_step(0.0, 1.0, nodes);
  return w;
}

}  // namespace

TEST_CASE("a ramp up and a ramp down have a triangle of a quarter in common, below zero nothing") {
  Waveform w({{"up", "A"}, {"down", "A"}, {"below", "A"}, {"v", "V"}}, 1);
  w.append_step(0.0, 1.0, std::vector{0.0, 1.0, -3.0, 2.0, 1.0, 0.0, -0.5, 2.0});
  CHECK(common_part(w, 0, 1, whole(w)) == relative(0.25, 1e-14));
  CHECK(common_part_of_product(w, 0, 1, 3, whole(w)) == relative(0.5, 1e-14));
  CHECK(common_part(w, 0, 2, whole(w)) == 0.0);
  CHECK(common_part(w, 0, 1, {0.25, 0.5}) == relative(0.5 * (0.25 + 0.5) * 0.25, 1e-14));
}

TEST_CASE("of a channel with itself the positive part remains") {
  Waveform w({{"i", "A"}}, 1);
  w.append_step(0.0, 3.0, std::vector{-1.0, 2.0});
  CHECK(common_part(w, 0, 0, whole(w)) == relative(2.0, 1e-14));
}

TEST_CASE("random polynomials agree with the midpoint rule") {
  std::mt19937 random(7);
  constexpr int points = 20000;
  for (int trial = 0; trial < 20; ++trial) {
    CAPTURE(trial);
    const Waveform w = random_step(random);
    double charge = 0.0;
    double energy = 0.0;
    for (int k = 0; k < points; ++k) {
      const double t = (k + 0.5) / points;
      const double common = std::max(0.0, std::min(w.value(0, t), w.value(1, t))) / points;
      charge += common;
      energy += common * w.value(2, t);
    }
    CHECK(std::abs(common_part(w, 0, 1, whole(w)) - charge) < 1e-7);
    CHECK(std::abs(common_part_of_product(w, 0, 1, 2, whole(w)) - energy) < 1e-7);
  }
}
