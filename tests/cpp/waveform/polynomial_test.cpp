// The polynomial of one step: interpolation is exact for polynomials, derivatives and bounds are right.
#include "gateswing/waveform/polynomial.h"

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <vector>
#include "relative.h"

using namespace gateswing::waveform;
using gateswing_test::relative;

namespace {

double node(std::size_t i, std::size_t degree) {
  return -1.0 + 2.0 * static_cast<double>(i) / static_cast<double>(degree);
}

}  // namespace

TEST_CASE("interpolating a polynomial's own node values gives its coefficients back, for every degree") {
  std::mt19937 random(20240611);
  std::uniform_real_distribution<double> uniform(-10.0, 10.0);
  for (std::size_t degree = 1; degree <= max_degree; ++degree) {
    Polynomial original;
    original.degree = degree;
    for (std::size_t i = 0; i <= degree; ++i) original.coefficients[i] = uniform(random);
    std::vector<double> nodes;
    for (std::size_t i = 0; i <= degree; ++i) nodes.push_back(original(node(i, degree)));

    const Polynomial found = interpolate(nodes);

    CHECK(found.degree == degree);
    for (std::size_t i = 0; i <= max_degree; ++i) {
      CAPTURE(degree);
      CAPTURE(i);
      CHECK(std::abs(found.coefficients[i] - original.coefficients[i]) < 1e-12);
    }
  }
}

TEST_CASE("the derivative of 3 - 2 s + 5 s^2 + s^4 is -2 + 10 s + 4 s^3, and of a constant zero") {
  const Polynomial p{{3.0, -2.0, 5.0, 0.0, 1.0}, 4};
  const Polynomial slope = p.derivative();
  CHECK(slope.degree == 3);
  for (const double s : {-1.0, -0.3, 0.0, 0.7, 1.0}) {
    CHECK(slope(s) == relative(-2.0 + 10.0 * s + 4.0 * s * s * s, 1e-14));
  }
  CHECK(Polynomial{{7.0}, 0}.derivative()(0.5) == 0.0);
}

TEST_CASE("the spread bounds how far the polynomial strays from its middle, and is reached by s^3") {
  const Polynomial p{{3.0, -2.0, 5.0, 0.0, 1.0}, 4};
  for (int i = -100; i <= 100; ++i) CHECK(std::abs(p(i / 100.0) - p(0.0)) <= p.spread());
  const Polynomial cube{{0.0, 0.0, 0.0, -4.0}, 3};
  CHECK(cube.spread() == 4.0);
}
