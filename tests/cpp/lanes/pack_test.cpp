// Functions of a pack against those of the scalar, over the range that each is for. These packs are of the width that
// every machine has; the kernels' own are the same template.
#include "gateswing/lanes/pack.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <random>

namespace gateswing::lanes::test {
namespace {

using Real = Pack<2, 2>;
constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double nan = std::numeric_limits<double>::quiet_NaN();

double lane(const Real& pack, int i) {
  return pack.v[i / 2][i % 2];
}

/// A pack of `x` among other values, so that nothing depends on equal lanes; x is in lane `place`.
Real among_others(double x, int place) {
  Real pack(0.25);
  pack.v[place / 2][place % 2] = x;
  return pack;
}

template <class Packed, class Scalar>
void check(double x, const Packed& packed, const Scalar& scalar, double tolerance) {
  CAPTURE(x);
  for (int place = 0; place < 4; ++place) {
    const double value = lane(packed(among_others(x, place)), place);
    const double expected = scalar(x);
    CAPTURE(value);
    CAPTURE(expected);
    if (std::isnan(expected)) {
      CHECK(std::isnan(value));
    } else if (std::isinf(expected)) {
      CHECK(value == expected);
    } else {
      CHECK(std::abs(value - expected) <= tolerance * std::abs(expected) + std::numeric_limits<double>::min());
    }
  }
}

TEST_CASE("exp is right to rounding, constant beyond -708 and 709, not a number for NaN") {
  const auto check_at = [](double x) {
    const auto expected = [](double a) { return std::exp(std::isnan(a) ? a : std::clamp(a, -708.0, 709.0)); };
    check(x, [](const Real& a) { return exp(a); }, expected, 1e-15);
  };
  std::mt19937 random(3);
  std::uniform_real_distribution<double> draw(-708.0, 709.0), small(-1.0, 1.0);
  for (int n = 0; n < 2000; ++n) {
    check_at(draw(random));
    check_at(small(random));
  }
  for (const double x : {0.0, -0.0, 0.5 * std::numbers::ln2, -0.5 * std::numbers::ln2, 1e-300, -1e-18, -708.0, -708.5,
                         -746.0, -1e300, -infinity, 709.0, 710.0, infinity, nan}) {
    check_at(x);
  }
}

TEST_CASE("log and sqrt are right to rounding, not a number for NaN") {
  const auto check_at = [](double x) {
    check(x, [](const Real& a) { return log(a); }, [](double a) { return std::log(a); }, 1e-15);
    check(x, [](const Real& a) { return sqrt(a); }, [](double a) { return std::sqrt(a); }, 1e-15);
  };
  std::mt19937 random(4);
  std::uniform_real_distribution<double> draw(-300.0, 300.0), near(0.5, 2.0);
  for (int n = 0; n < 2000; ++n) {
    check_at(std::pow(10.0, draw(random)));
    check_at(near(random));
  }
  for (const double x : {0.5, std::sqrt(0.5), 1.0 - 1e-16, 1.0, 1.0 + 3e-16, std::numbers::sqrt2, 2.0,
                         std::numeric_limits<double>::min(), 1e308, infinity, nan}) {
    check_at(x);
  }
}

TEST_CASE("log1p is right to rounding from -1/2 to 1, also where the argument is small") {
  const auto check_at = [](double x) {
    check(x, [](const Real& a) { return log1p(a); }, [](double a) { return std::log1p(a); }, 1e-15);
  };
  std::mt19937 random(5);
  std::uniform_real_distribution<double> draw(-20.0, 0.0), all(-0.5, 1.0);
  for (int n = 0; n < 2000; ++n) {
    check_at(std::pow(10.0, draw(random)));
    check_at(all(random));
  }
  for (const double x : {0.0, 1e-300, 5e-17, -5e-17, -1e-9, -0.5, 1.0, nan}) check_at(x);
}

TEST_CASE("comparisons, select and bits go lane by lane") {
  Real a(1.0);
  Real b(1.0);
  a.v[0][1] = -2.0;
  b.v[1][0] = 5.0;
  CHECK(bits(a < b) == 0b0110U);
  CHECK(bits(a >= b) == 0b1001U);
  CHECK(bits(!(a < b) || a == b) == 0b1001U);
  CHECK(bits(a <= b && b > Real(2.0)) == 0b0100U);
  CHECK(lane(select(a < b, a, b), 1) == -2.0);
  CHECK(lane(select(a < b, b, a), 2) == 5.0);
  CHECK(lane(max(a, b), 2) == 5.0);
  CHECK(lane(min(a, b), 1) == -2.0);
  CHECK(lane(abs(a), 1) == 2.0);
  CHECK(bits(Real(nan) <= Real(1.0)) == 0U);
}

TEST_CASE("any finds one lane in every place") {
  CHECK(!any(Real(1.0) < Real(1.0)));
  for (int k = 0; k < 4; ++k) {
    Real a(1.0);
    a.v[k / 2][k % 2] = 0.0;
    CAPTURE(k);
    CHECK(any(a < Real(1.0)));
    CHECK(any(!(a > Real(0.0))));
  }
}

}  // namespace
}  // namespace gateswing::lanes::test
