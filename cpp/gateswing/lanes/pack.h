// A pack of doubles, one per lane: arithmetic by the compiler's vector types, functions by Eigen.
#pragma once

#include <Eigen/Core>
#include <cstdint>

#include "gateswing/lanes/scalar.h"

namespace gateswing::lanes {

/// `registers` vectors of `lanes` elements, each as wide as a register of one instruction set. A pack of more than one
/// register lets one wait while the other works; the compiler does not make two of a vector that is too wide.
template <class Element, int registers, int lanes>
struct Registers {
  using Vector [[gnu::vector_size(sizeof(Element) * lanes)]] = Element;
  // An array of the language, which the compiler knows how to keep in registers.
  Vector v[registers];  // NOLINT(modernize-avoid-c-arrays)
};

template <int registers, int lanes>
struct Mask : Registers<std::int64_t, registers, lanes> {
  template <class Operation>
  [[gnu::always_inline]] static Mask map(const Operation& operation) {
    Mask result;
#pragma GCC unroll 2
    for (int r = 0; r < registers; ++r) result.v[r] = operation(r);
    return result;
  }
  friend Mask operator&&(const Mask& a, const Mask& b) {
    return map([&](int r) { return a.v[r] & b.v[r]; });
  }
  friend Mask operator||(const Mask& a, const Mask& b) {
    return map([&](int r) { return a.v[r] | b.v[r]; });
  }
  friend Mask operator!(const Mask& a) {
    return map([&](int r) { return ~a.v[r]; });
  }
  /// Bit i is lane i.
  friend unsigned bits(const Mask& mask) {
    unsigned result = 0;
    for (int i = 0; i < registers * lanes; ++i) {
      result |= (static_cast<unsigned>(mask.v[i / lanes][i % lanes]) & 1U) << static_cast<unsigned>(i);
    }
    return result;
  }
};

/// Each pair of numbers belongs to one instruction set and to the one translation unit compiled for it, so that every
/// template on a pack is a symbol of that unit alone.
template <int registers, int lanes>
struct Pack : Registers<double, registers, lanes> {
  using Lanes = Mask<registers, lanes>;

  Pack() = default;
  Pack(double all) {
    for (int r = 0; r < registers; ++r) this->v[r] = typename Pack::Vector{} + all;
  }

  template <class Operation>
  [[gnu::always_inline]] static Pack map(const Operation& operation) {
    Pack result;
#pragma GCC unroll 2
    for (int r = 0; r < registers; ++r) result.v[r] = operation(r);
    return result;
  }

  friend Pack operator-(const Pack& a) {
    return map([&](int r) { return -a.v[r]; });
  }
  friend Pack operator+(const Pack& a, const Pack& b) {
    return map([&](int r) { return a.v[r] + b.v[r]; });
  }
  friend Pack operator-(const Pack& a, const Pack& b) {
    return map([&](int r) { return a.v[r] - b.v[r]; });
  }
  friend Pack operator*(const Pack& a, const Pack& b) {
    return map([&](int r) { return a.v[r] * b.v[r]; });
  }
  friend Pack operator/(const Pack& a, const Pack& b) {
    return map([&](int r) { return a.v[r] / b.v[r]; });
  }
  Pack& operator+=(const Pack& b) { return *this = *this + b; }
  Pack& operator-=(const Pack& b) { return *this = *this - b; }
  Pack& operator*=(const Pack& b) { return *this = *this * b; }

  friend Lanes operator<(const Pack& a, const Pack& b) {
    return Lanes::map([&](int r) { return a.v[r] < b.v[r]; });
  }
  friend Lanes operator>(const Pack& a, const Pack& b) { return b < a; }
  friend Lanes operator<=(const Pack& a, const Pack& b) {
    return Lanes::map([&](int r) { return a.v[r] <= b.v[r]; });
  }
  friend Lanes operator>=(const Pack& a, const Pack& b) { return b <= a; }
  friend Lanes operator==(const Pack& a, const Pack& b) {
    return Lanes::map([&](int r) { return a.v[r] == b.v[r]; });
  }
  friend Pack select(const Lanes& mask, const Pack& a, const Pack& b) {
    return map([&](int r) { return mask.v[r] ? a.v[r] : b.v[r]; });
  }

  friend Pack abs(const Pack& a) { return select(a < Pack(0.0), -a, a); }
  friend Pack max(const Pack& a, const Pack& b) { return select(a < b, b, a); }
  friend Pack min(const Pack& a, const Pack& b) { return select(b < a, b, a); }

  friend Pack sqrt(const Pack& a) {
    return through(a, [](const auto& x) { return x.sqrt(); });
  }
  friend Pack exp(const Pack& a) {
    return through(a, [](const auto& x) { return x.exp(); });
  }
  friend Pack log(const Pack& a) {
    return through(a, [](const auto& x) { return x.log(); });
  }
  /// x ln(u)/(u - 1) with u = 1 + x rounded, whose errors cancel (W. Kahan, from memory); for x > -1.
  friend Pack log1p(const Pack& a) {
    const Pack u = Pack(1.0) + a;
    const Pack rounded = u - Pack(1.0);
    const Lanes tiny = rounded == Pack(0.0);
    return select(tiny, a, a * (log(u) / select(tiny, Pack(1.0), rounded)));
  }

 private:
  template <class Function>
  static Pack through(const Pack& a, const Function& function) {
    using Array = Eigen::Array<double, lanes, 1>;
    return map([&](int r) {
      Array x;
      __builtin_memcpy(x.data(), &a.v[r], sizeof(a.v[r]));
      const Array y = function(x);
      typename Pack::Vector result;
      __builtin_memcpy(&result, y.data(), sizeof(result));
      return result;
    });
  }
};

}  // namespace gateswing::lanes
