// Forward differentiation: a value with its derivatives along N directions, and the branch-free select the laws use.
#pragma once

#include <array>
#include <cmath>
#include <concepts>
#include <cstddef>
#include <type_traits>
#include <utility>

namespace gateswing::device {

/// `condition ? a : b` as a call, so that one text serves plain scalars, duals and packs of lanes (whose condition is a
/// mask). Both values are computed: keep the one not taken finite.
template <std::floating_point Real>
constexpr Real select(bool condition, const Real& a, const Real& b) {
  return condition ? a : b;
}

/// Whether a condition holds at all: in any of the lanes, where it is a mask. For leaving out what no lane needs, where
/// select() would not take it either.
constexpr bool any(bool condition) {
  return condition;
}

/// A value and its exact derivatives along N directions. Comparisons look at the value only.
template <class RealType, int N>
struct Dual {
  static_assert(N > 0);
  using Real = RealType;
  static constexpr int directions = N;

  Real value{};
  std::array<Real, static_cast<std::size_t>(N)> derivative{};

  constexpr Dual() = default;
  // Implicit: a parameter or a number is a dual that does not move.
  constexpr Dual(const Real& constant) : value(constant) {}

  /// f(x) from the value and the slope of f at x.value.
  friend constexpr Dual chain(const Dual& x, const Real& value, const Real& slope) {
    Dual result(value);
    for (std::size_t i = 0; i < x.derivative.size(); ++i) result.derivative[i] = slope * x.derivative[i];
    return result;
  }
  /// f(x, y) from the value and the partial slopes of f.
  friend constexpr Dual chain(const Dual& x, const Dual& y, const Real& value, const Real& slope_x,
                              const Real& slope_y) {
    Dual result(value);
    for (std::size_t i = 0; i < x.derivative.size(); ++i)
      result.derivative[i] = slope_x * x.derivative[i] + slope_y * y.derivative[i];
    return result;
  }

  friend constexpr Dual operator+(const Dual& x) { return x; }
  friend constexpr Dual operator-(const Dual& x) {
    Dual result(-x.value);
    for (std::size_t i = 0; i < x.derivative.size(); ++i) result.derivative[i] = -x.derivative[i];
    return result;
  }

  friend constexpr Dual operator+(const Dual& x, const Dual& y) {
    Dual result(x.value + y.value);
    for (std::size_t i = 0; i < x.derivative.size(); ++i) result.derivative[i] = x.derivative[i] + y.derivative[i];
    return result;
  }
  friend constexpr Dual operator+(const Dual& x, const Real& y) {
    Dual result = x;
    result.value = x.value + y;
    return result;
  }
  friend constexpr Dual operator+(const Real& x, const Dual& y) { return y + x; }

  friend constexpr Dual operator-(const Dual& x, const Dual& y) {
    Dual result(x.value - y.value);
    for (std::size_t i = 0; i < x.derivative.size(); ++i) result.derivative[i] = x.derivative[i] - y.derivative[i];
    return result;
  }
  friend constexpr Dual operator-(const Dual& x, const Real& y) {
    Dual result = x;
    result.value = x.value - y;
    return result;
  }
  friend constexpr Dual operator-(const Real& x, const Dual& y) {
    Dual result = -y;
    result.value = x - y.value;
    return result;
  }

  friend constexpr Dual operator*(const Dual& x, const Dual& y) {
    return chain(x, y, x.value * y.value, y.value, x.value);
  }
  friend constexpr Dual operator*(const Dual& x, const Real& y) { return chain(x, x.value * y, y); }
  friend constexpr Dual operator*(const Real& x, const Dual& y) { return chain(y, x * y.value, x); }

  friend constexpr Dual operator/(const Dual& x, const Dual& y) {
    const Real inverse = Real(1) / y.value;
    const Real quotient = x.value / y.value;
    return chain(x, y, quotient, inverse, -(quotient * inverse));
  }
  friend constexpr Dual operator/(const Dual& x, const Real& y) { return chain(x, x.value / y, Real(1) / y); }
  friend constexpr Dual operator/(const Real& x, const Dual& y) {
    const Real quotient = x / y.value;
    return chain(y, quotient, -(quotient / y.value));
  }

  constexpr Dual& operator+=(const Dual& y) { return *this = *this + y; }
  constexpr Dual& operator-=(const Dual& y) { return *this = *this - y; }
  constexpr Dual& operator*=(const Dual& y) { return *this = *this * y; }
  constexpr Dual& operator/=(const Dual& y) { return *this = *this / y; }

  // The result type is whatever the scalar's own comparison gives: a bool, or a mask of lanes.
  friend constexpr auto operator<(const Dual& x, const Dual& y) { return x.value < y.value; }
  friend constexpr auto operator<(const Dual& x, const Real& y) { return x.value < y; }
  friend constexpr auto operator>(const Dual& x, const Dual& y) { return x.value > y.value; }
  friend constexpr auto operator>(const Dual& x, const Real& y) { return x.value > y; }

  template <class Condition>
  friend constexpr Dual select(const Condition& condition, const Dual& a, const Dual& b) {
    Dual result(select(condition, a.value, b.value));
    for (std::size_t i = 0; i < a.derivative.size(); ++i)
      result.derivative[i] = select(condition, a.derivative[i], b.derivative[i]);
    return result;
  }

  friend Dual exp(const Dual& x) {
    using std::exp;
    const Real value = exp(x.value);
    return chain(x, value, value);
  }
  friend Dual expm1(const Dual& x) {
    using std::exp;
    using std::expm1;
    return chain(x, expm1(x.value), exp(x.value));
  }
  friend Dual log(const Dual& x) {
    using std::log;
    return chain(x, log(x.value), Real(1) / x.value);
  }
  friend Dual log1p(const Dual& x) {
    using std::log1p;
    return chain(x, log1p(x.value), Real(1) / (Real(1) + x.value));
  }
  friend Dual sqrt(const Dual& x) {
    using std::sqrt;
    const Real value = sqrt(x.value);
    return chain(x, value, Real(0.5) / value);
  }
  friend Dual asinh(const Dual& x) {
    using std::asinh;
    using std::sqrt;
    return chain(x, asinh(x.value), Real(1) / sqrt(Real(1) + x.value * x.value));
  }
  /// x > 0, constant exponent.
  friend Dual pow(const Dual& x, const Real& exponent) {
    using std::pow;
    const Real value = pow(x.value, exponent);
    return chain(x, value, exponent * value / x.value);
  }
};

/// The independent variable number `index`: derivative 1 along its own direction, 0 along the others.
template <int N, class Real>
constexpr Dual<Real, N> seed(const Real& value, int index) {
  Dual<Real, N> result(value);
  result.derivative[static_cast<std::size_t>(index)] = Real(1);
  return result;
}

template <class T>
struct is_dual : std::false_type {};
template <class Real, int N>
struct is_dual<Dual<Real, N>> : std::true_type {};

/// function(arguments...), differentiated once per argument however many directions the arguments carry: a law of one
/// voltage inside a system of eight states costs one derivative, not eight.
template <class Function, class T, std::same_as<T>... Rest>
constexpr T by_chain_rule(const Function& function, const T& first, const Rest&... rest) {
  constexpr int count = 1 + static_cast<int>(sizeof...(Rest));
  if constexpr (is_dual<T>::value) {
    if constexpr (T::directions > count) {
      const auto narrow = [&]<int... index>(std::integer_sequence<int, index...>, const auto&... argument) {
        return function(seed<count>(argument.value, index)...);
      }(std::make_integer_sequence<int, count>{}, first, rest...);
      T result(narrow.value);
      for (std::size_t i = 0; i < result.derivative.size(); ++i) {
        std::size_t k = 0;
        result.derivative[i] = narrow.derivative[k] * first.derivative[i];
        ((result.derivative[i] += narrow.derivative[++k] * rest.derivative[i]), ...);
      }
      return result;
    } else {
      return function(first, rest...);
    }
  } else {
    return function(first, rest...);
  }
}

}  // namespace gateswing::device
