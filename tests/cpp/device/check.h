// Checks shared by the tests of the device laws.
#pragma once

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

#include "device/complex_step.h"
#include "gateswing/device/dual.h"

namespace gateswing::device::test {

/// |a - b| within a fraction of the larger; numbers below 1e-250 count as zero, because underflow eats their digits.
inline bool close(double a, double b, double relative) {
  return std::abs(a - b) <= relative * std::max(std::abs(a), std::abs(b)) + 1e-250;
}

/// Checks f's derivatives carried by Dual, in as many directions as f has arguments and in more, against the complex
/// step at the given point, and that the value does not depend on the scalar.
template <class Function, class... Arguments>
void check_derivatives(const Function& f, Arguments... arguments) {
  constexpr int count = sizeof...(Arguments);
  constexpr int wide = count + 3;
  constexpr double step = 1e-20;
  const std::array<double, count> at{arguments...};
  [&]<int... k>(std::integer_sequence<int, k...>) {
    const double value = f(at[k]...);
    std::array<double, count> slope{};
    for (int i = 0; i < count; ++i) {
      const auto moved = f(ComplexStep({at[k], k == i ? step : 0.0})...);
      slope[static_cast<std::size_t>(i)] = moved.z.imag() / step;
      CHECK(close(moved.z.real(), value, 1e-12));
    }
    CAPTURE(value);

    const auto narrow = f(seed<count>(at[k], k)...);
    CHECK(close(narrow.value, value, 1e-12));
    // A partial far smaller than its fellows is the difference of nearly equal terms for the complex step.
    const double rounding = 1e-14 * std::max({std::abs(slope[k])...});
    (
        [&](double expected, double derivative) {
          CAPTURE(k);
          CAPTURE(derivative);
          CAPTURE(expected);
          CHECK((close(derivative, expected, 1e-8) || std::abs(derivative - expected) <= rounding));
        }(slope[k], narrow.derivative[k]),
        ...);

    // Directions that mix the arguments, as node voltages mix branch voltages.
    const auto weight = [](int argument, int direction) { return 1.0 + 0.3 * argument - 0.7 * direction; };
    const auto mixed = [&](int argument) {
      Dual<double, wide> x(at[static_cast<std::size_t>(argument)]);
      for (int j = 0; j < wide; ++j) x.derivative[static_cast<std::size_t>(j)] = weight(argument, j);
      return x;
    };
    const auto broad = f(mixed(k)...);
    CHECK(close(broad.value, value, 1e-12));
    for (int j = 0; j < wide; ++j) {
      const double expected = (0.0 + ... + (slope[k] * weight(k, j)));
      const double largest = std::max({std::abs(slope[k] * weight(k, j))...});
      CAPTURE(j);
      CHECK(std::abs(broad.derivative[static_cast<std::size_t>(j)] - expected) <= 1e-8 * largest + 1e-250);
    }
  }
  (std::make_integer_sequence<int, count>{});
}

/// Checks that f and all its derivatives are finite at every combination of zero, tiny and enormous arguments, and that
/// a NaN comes out as NaN.
template <int count, class Function>
void check_finite_and_honest(const Function& f) {
  constexpr std::array<double, 9> extremes{0.0, 1e-300, -1e-300, 1.0, -1.0, 1e3, -1e3, 1e6, -1e6};
  [&]<int... k>(std::integer_sequence<int, k...>) {
    const auto finite_at = [&](const std::array<double, count>& at) {
      const auto result = f(seed<count>(at[k], k)...);
      return std::isfinite(f(at[k]...)) && std::isfinite(result.value) && (std::isfinite(result.derivative[k]) && ...);
    };
    std::size_t combinations = 1;
    for (int i = 0; i < count; ++i) combinations *= extremes.size();
    for (std::size_t combination = 0; combination < combinations; ++combination) {
      std::array<double, count> at{};
      std::size_t digits = combination;
      for (double& x : at) {
        x = extremes[digits % extremes.size()];
        digits /= extremes.size();
      }
      CAPTURE(at[0]);
      CAPTURE(at[count - 1]);
      CHECK(finite_at(at));
    }
    const double nan = std::numeric_limits<double>::quiet_NaN();
    for (int i = 0; i < count; ++i) {
      CAPTURE(i);
      CHECK(std::isnan(f((k == i ? nan : 0.5)...)));
    }
  }
  (std::make_integer_sequence<int, count>{});
}

}  // namespace gateswing::device::test
