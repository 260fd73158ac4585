// The root finder under crossings and extrema: every sign change found, none invented.
#include "gateswing/measure/sign_changes.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>
#include "relative.h"

using namespace gateswing::measure;
using gateswing::waveform::Polynomial;
using gateswing_test::relative;

namespace {

Polynomial with_roots(const std::vector<double>& roots) {
  Polynomial p{{1.0}, 0};
  for (const double root : roots) {
    ++p.degree;
    for (std::size_t i = p.degree; i > 0; --i) p.coefficients[i] = p.coefficients[i - 1] - root * p.coefficients[i];
    p.coefficients[0] *= -root;
  }
  return p;
}

}  // namespace

TEST_CASE("every root inside the interval is found, in order, and none outside, for random polynomials") {
  std::mt19937 random(7151);
  std::uniform_real_distribution<double> uniform(-1.5, 1.5);
  for (int trial = 0; trial < 2000; ++trial) {
    std::vector<double> roots(1 + static_cast<std::size_t>(trial % 6));
    for (double& root : roots) root = uniform(random);
    std::sort(roots.begin(), roots.end());
    const bool crowded =
        std::adjacent_find(roots.begin(), roots.end(), [](double a, double b) { return b - a < 0.02; }) != roots.end();
    if (crowded) continue;
    std::vector<double> inside;
    std::copy_if(roots.begin(), roots.end(), std::back_inserter(inside), [](double r) { return std::abs(r) < 1.0; });

    const SignChanges found = sign_changes(with_roots(roots), -1.0, 1.0);

    CAPTURE(trial);
    CAPTURE(roots.size());
    REQUIRE(found.count == inside.size());
    for (std::size_t i = 0; i < inside.size(); ++i) CHECK(std::abs(found.at[i] - inside[i]) < 1e-8);
  }
}

TEST_CASE(
    "a touch from above is no sign change; a touch from below and a root at an end are told by zero as positive") {
  CHECK(sign_changes(with_roots({0.25, 0.25}), -1.0, 1.0).count == 0);
  CHECK(sign_changes(with_roots({-1.0}), -1.0, 1.0).count == 0);  // from 0 upwards: positive throughout
  const SignChanges at_end = sign_changes(with_roots({1.0}), -1.0, 1.0);
  REQUIRE(at_end.count == 1);
  CHECK(at_end.at[0] == relative(1.0, 1e-15));
}

TEST_CASE("an interval without length, and a constant, have no sign change") {
  CHECK(sign_changes(with_roots({0.0}), 0.0, 0.0).count == 0);
  CHECK(sign_changes(Polynomial{{-1.0}, 0}, -1.0, 1.0).count == 0);
}

TEST_CASE("an extremum at an end, of another sign than the value given there, is a change at that end") {
  const Polynomial parabola{{1.0, -2.0, 1.0}, 2};  // (x - 1)^2
  const SignChanges found = sign_changes(parabola, -1.0, 4.0, 1.0, -1e-18);
  REQUIRE(found.count == 1);
  CHECK(found.at[0] == 1.0);
}
