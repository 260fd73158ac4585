// A minimal pack of lanes: what the device laws may ask of a vectorised scalar, and no more. Its comparisons give a
// mask, not a bool, so a law that branches on a value does not compile; on any() it may, for all lanes at once.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace gateswing::device::test {

inline constexpr std::size_t lane_count = 3;

struct Mask {
  std::array<bool, lane_count> lane;

  friend Mask operator!(Mask mask) {
    for (bool& one : mask.lane) one = !one;
    return mask;
  }
  friend bool any(const Mask& mask) {
    return std::ranges::any_of(mask.lane, [](bool one) { return one; });
  }
};

struct Lanes {
  std::array<double, lane_count> lane{};

  Lanes() = default;
  Lanes(double all) { lane.fill(all); }

  template <class Operation, class... Operands>
  static Lanes map(const Operation& operation, const Operands&... operands) {
    Lanes result;
    for (std::size_t i = 0; i < lane_count; ++i) result.lane[i] = operation(operands.lane[i]...);
    return result;
  }

  friend Lanes operator-(const Lanes& a) {
    return map([](double x) { return -x; }, a);
  }
  friend Lanes operator+(const Lanes& a, const Lanes& b) {
    return map([](double x, double y) { return x + y; }, a, b);
  }
  friend Lanes operator-(const Lanes& a, const Lanes& b) {
    return map([](double x, double y) { return x - y; }, a, b);
  }
  friend Lanes operator*(const Lanes& a, const Lanes& b) {
    return map([](double x, double y) { return x * y; }, a, b);
  }
  friend Lanes operator/(const Lanes& a, const Lanes& b) {
    return map([](double x, double y) { return x / y; }, a, b);
  }
  friend Mask operator<(const Lanes& a, const Lanes& b) {
    Mask mask{};
    for (std::size_t i = 0; i < lane_count; ++i) mask.lane[i] = a.lane[i] < b.lane[i];
    return mask;
  }
  friend Mask operator>(const Lanes& a, const Lanes& b) { return b < a; }
  friend Lanes select(const Mask& mask, const Lanes& a, const Lanes& b) {
    return map([](bool taken, double x, double y) { return taken ? x : y; }, mask, a, b);
  }

  friend Lanes exp(const Lanes& a) {
    return map([](double x) { return std::exp(x); }, a);
  }
  friend Lanes expm1(const Lanes& a) {
    return map([](double x) { return std::expm1(x); }, a);
  }
  friend Lanes log(const Lanes& a) {
    return map([](double x) { return std::log(x); }, a);
  }
  friend Lanes log1p(const Lanes& a) {
    return map([](double x) { return std::log1p(x); }, a);
  }
  friend Lanes sqrt(const Lanes& a) {
    return map([](double x) { return std::sqrt(x); }, a);
  }
  friend Lanes asinh(const Lanes& a) {
    return map([](double x) { return std::asinh(x); }, a);
  }
  friend Lanes pow(const Lanes& a, const Lanes& b) {
    return map([](double x, double y) { return std::pow(x, y); }, a, b);
  }
};

}  // namespace gateswing::device::test
