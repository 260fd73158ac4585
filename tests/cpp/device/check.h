// Checks shared by the tests of the device laws.
#pragma once

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <tuple>

#include "device/complex_step.h"
#include "gateswing/device/dual.h"

namespace gateswing::device::test {

/// |a - b| within a fraction of the larger; numbers below 1e-250 count as zero, because underflow eats their digits.
inline bool close(double a, double b, double relative) {
  return std::abs(a - b) <= relative * std::max(std::abs(a), std::abs(b)) + 1e-250;
}

template <std::size_t count>
using Point = std::array<double, count>;

/// Partial derivatives of f at a point by the complex step; checks on the way that its value there is `value`.
template <class Function, std::size_t count>
Point<count> complex_step_slopes(const Function& f, const Point<count>& at, double value) {
  constexpr double step = 1e-20;
  Point<count> slopes{};
  for (std::size_t i = 0; i < count; ++i) {
    std::array<ComplexStep, count> moved;
    for (std::size_t k = 0; k < count; ++k) moved[k] = ComplexStep({at[k], k == i ? step : 0.0});
    const ComplexStep result = std::apply(f, moved);
    CHECK(close(result.z.real(), value, 1e-12));
    slopes[i] = result.z.imag() / step;
  }
  return slopes;
}

/// Checks f's duals with one direction per argument.
template <class Function, std::size_t count>
void check_partial_slopes(const Function& f, const Point<count>& at, double value, const Point<count>& slopes) {
  std::array<Dual<double, count>, count> x;
  for (std::size_t k = 0; k < count; ++k) x[k] = seed<count>(at[k], static_cast<int>(k));
  const auto result = std::apply(f, x);
  CHECK(close(result.value, value, 1e-12));
  // A partial far smaller than its fellows is the difference of nearly equal terms for the complex step.
  double rounding = 0.0;
  for (const double slope : slopes) rounding = std::max(rounding, 1e-14 * std::abs(slope));
  for (std::size_t k = 0; k < count; ++k) {
    CAPTURE(k);
    CAPTURE(result.derivative[k]);
    CAPTURE(slopes[k]);
    CHECK((close(result.derivative[k], slopes[k], 1e-8) || std::abs(result.derivative[k] - slopes[k]) <= rounding));
  }
}

/// Checks f's duals with more directions than arguments, which mix them as node voltages mix branch voltages.
template <class Function, std::size_t count>
void check_mixed_slopes(const Function& f, const Point<count>& at, double value, const Point<count>& slopes) {
  constexpr std::size_t directions = count + 3;
  std::array<Dual<double, directions>, count> x;
  for (std::size_t k = 0; k < count; ++k) {
    x[k].value = at[k];
    for (std::size_t j = 0; j < directions; ++j)
      x[k].derivative[j] = 1.0 + 0.3 * static_cast<double>(k) - 0.7 * static_cast<double>(j);
  }
  const auto result = std::apply(f, x);
  CHECK(close(result.value, value, 1e-12));
  for (std::size_t j = 0; j < directions; ++j) {
    double expected = 0.0;
    double largest = 0.0;
    for (std::size_t k = 0; k < count; ++k) {
      expected += slopes[k] * x[k].derivative[j];
      largest = std::max(largest, std::abs(slopes[k] * x[k].derivative[j]));
    }
    CAPTURE(j);
    CHECK(std::abs(result.derivative[j] - expected) <= 1e-8 * largest + 1e-250);
  }
}

/// Checks f's derivatives carried by Dual against the complex step at the given arguments, and that the value does not
/// depend on the scalar.
template <class Function, class... Arguments>
void check_derivatives(const Function& f, Arguments... arguments) {
  const Point<sizeof...(Arguments)> at{arguments...};
  const double value = f(arguments...);
  CAPTURE(value);
  const auto slopes = complex_step_slopes(f, at, value);
  check_partial_slopes(f, at, value, slopes);
  check_mixed_slopes(f, at, value, slopes);
}

template <class Function, std::size_t count>
bool finite_with_slopes(const Function& f, const Point<count>& at) {
  std::array<Dual<double, count>, count> x;
  for (std::size_t k = 0; k < count; ++k) x[k] = seed<count>(at[k], static_cast<int>(k));
  const auto result = std::apply(f, x);
  const auto finite = [](double derivative) { return std::isfinite(derivative); };
  return std::isfinite(std::apply(f, at)) && std::isfinite(result.value) &&
         std::all_of(result.derivative.begin(), result.derivative.end(), finite);
}

/// Checks that f and all its derivatives are finite at every combination of zero, tiny and enormous arguments, and that
/// a NaN comes out as NaN.
template <std::size_t count, class Function>
void check_finite_and_honest(const Function& f) {
  constexpr std::array<double, 9> extremes{0.0, 1e-300, -1e-300, 1.0, -1.0, 1e3, -1e3, 1e6, -1e6};
  std::size_t combinations = 1;
  for (std::size_t k = 0; k < count; ++k) combinations *= extremes.size();
  for (std::size_t combination = 0; combination < combinations; ++combination) {
    Point<count> at{};
    std::size_t digits = combination;
    for (double& x : at) {
      x = extremes[digits % extremes.size()];
      digits /= extremes.size();
    }
    CAPTURE(at.front());
    CAPTURE(at.back());
    CHECK(finite_with_slopes(f, at));
  }
  for (std::size_t k = 0; k < count; ++k) {
    CAPTURE(k);
    Point<count> at{};
    at.fill(0.5);
    at[k] = std::numeric_limits<double>::quiet_NaN();
    CHECK(std::isnan(std::apply(f, at)));
  }
}

}  // namespace gateswing::device::test
