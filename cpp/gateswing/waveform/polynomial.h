// The polynomial that represents one channel over one step, in a local variable that makes it well conditioned.
#pragma once

#include <array>
#include <cstddef>
#include <span>

namespace gateswing::waveform {

// Equally spaced interpolation of higher degree amplifies rounding and ripples between nodes; dense output needs 4.
inline constexpr std::size_t max_degree = 6;

// p(s) = sum of coefficients[i] s^i on s in [-1, 1], the step's begin at s = -1 and its end at s = +1.
struct Polynomial {
  std::array<double, max_degree + 1> coefficients{};
  std::size_t degree = 0;

  double operator()(double s) const;

  // dp/ds, of one degree less (of a constant: zero).
  Polynomial derivative() const;

  // Bound on |p(s) - p(0)| over [-1, 1]: lets a search pass over a step without solving for roots.
  double spread() const;
};

// Interpolates `nodes`, the values at equally spaced s from -1 to +1; 2 to max_degree + 1 of them.
Polynomial interpolate(std::span<const double> nodes);

}  // namespace gateswing::waveform
