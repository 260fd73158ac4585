// A pack of doubles, one per lane: arithmetic by the compiler's vector types, roots and fused products by Eigen.
#pragma once

#include <Eigen/Core>
#include <array>
#include <bit>
#include <cstdint>

#include "gateswing/lanes/scalar.h"

namespace gateswing::lanes {

/// `registers` vectors of `lanes` elements, each as wide as a register of one instruction set. A pack of more than one
/// register lets one wait while the other works, where the core does not run a wide one in halves; the compiler does
/// not make two of a vector that is too wide.
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
  friend bool any(const Mask& mask) {
    auto all = std::bit_cast<std::array<std::uint64_t, sizeof(Mask) / sizeof(std::uint64_t)>>(mask);
    for (std::size_t half = all.size() / 2; half > 0; half /= 2) {
      for (std::size_t i = 0; i < half; ++i) all[i] |= all[i + half];
    }
    return all[0] != 0;
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
    return map([&](int r) { return std::bit_cast<typename Pack::Vector>(Eigen::internal::psqrt(packet(a, r))); });
  }
  /// a b + c, rounded once where the instruction set can.
  friend Pack multiply_add(const Pack& a, const Pack& b, const Pack& c) {
    return map([&](int r) {
      return std::bit_cast<typename Pack::Vector>(Eigen::internal::pmadd(packet(a, r), packet(b, r), packet(c, r)));
    });
  }

 private:
  using Packet = typename Eigen::internal::find_best_packet<double, lanes>::type;
  static Packet packet(const Pack& a, int r) { return std::bit_cast<Packet>(a.v[r]); }
};

}  // namespace gateswing::lanes

#include "gateswing/lanes/pack_functions.h"
