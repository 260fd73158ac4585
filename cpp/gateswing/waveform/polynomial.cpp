// Evaluation, differentiation and interpolation of the polynomial of one step.
#include "gateswing/waveform/polynomial.h"

#include <cmath>

namespace gateswing::waveform {

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
  const std::size_t degree = nodes.size() - 1;
  const double spacing = 2.0 / static_cast<double>(degree);
  std::array<double, max_degree + 1> divided{};
  for (std::size_t i = 0; i <= degree; ++i) divided[i] = nodes[i];
  for (std::size_t order = 1; order <= degree; ++order) {
    for (std::size_t i = degree; i >= order; --i) {
      divided[i] = (divided[i] - divided[i - 1]) / (static_cast<double>(order) * spacing);
    }
  }

  Polynomial result;
  result.degree = degree;
  result.coefficients[0] = divided[degree];
  for (std::size_t i = degree; i-- > 0;) {
    const double node = -1.0 + static_cast<double>(i) * spacing;
    for (std::size_t power = degree - i; power > 0; --power) {
      result.coefficients[power] = result.coefficients[power - 1] - node * result.coefficients[power];
    }
    result.coefficients[0] = divided[i] - node * result.coefficients[0];
  }
  return result;
}

}  // namespace gateswing::waveform
