// Evaluation, differentiation and interpolation of the polynomial of one step.
#include "gateswing/waveform/polynomial.h"

#include <cmath>

namespace gateswing::waveform {

namespace {

using Coefficients = std::array<double, max_degree + 1>;

// Of each node, the coefficients of the polynomial that is 1 there and 0 at the other nodes.
using LagrangeBasis = std::array<Coefficients, max_degree + 1>;

constexpr Coefficients lagrange_polynomial(std::size_t degree, std::size_t node) {
  const auto position = [degree](std::size_t i) {
    return -1.0 + 2.0 * static_cast<double>(i) / static_cast<double>(degree);
  };
  Coefficients product{1.0};
  for (std::size_t other = 0; other <= degree; ++other) {
    if (other == node) continue;
    const double scale = 1.0 / (position(node) - position(other));
    for (std::size_t i = max_degree; i > 0; --i) product[i] = scale * (product[i - 1] - position(other) * product[i]);
    product[0] *= -scale * position(other);
  }
  return product;
}

// Indexed by degree; computed by the compiler because a step's polynomial is needed wherever a waveform is looked at.
constexpr std::array<LagrangeBasis, max_degree + 1> lagrange_bases = [] {
  std::array<LagrangeBasis, max_degree + 1> bases{};
  for (std::size_t degree = 1; degree <= max_degree; ++degree) {
    for (std::size_t node = 0; node <= degree; ++node) bases[degree][node] = lagrange_polynomial(degree, node);
  }
  return bases;
}();

}  // namespace

double Polynomial::operator()(double s) const {
  double value = coefficients[degree];
  for (std::size_t i = degree; i-- > 0;) value = value * s + coefficients[i];
  return value;
}

Polynomial Polynomial::derivative() const {
  Polynomial result;
  if (degree == 0) return result;
  result.degree = degree - 1;
  for (std::size_t i = 0; i < degree; ++i) result.coefficients[i] = static_cast<double>(i + 1) * coefficients[i + 1];
  return result;
}

double Polynomial::spread() const {
  double sum = 0.0;
  for (std::size_t i = 1; i <= degree; ++i) sum += std::abs(coefficients[i]);
  return sum;
}

Polynomial interpolate(std::span<const double> nodes) {
  Polynomial result;
  result.degree = nodes.size() - 1;
  const LagrangeBasis& basis = lagrange_bases[result.degree];
  for (std::size_t node = 0; node <= result.degree; ++node) {
    for (std::size_t i = 0; i <= max_degree; ++i) result.coefficients[i] += nodes[node] * basis[node][i];
  }
  return result;
}

}  // namespace gateswing::waveform
