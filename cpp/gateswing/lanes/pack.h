// A pack of doubles, one per lane: arithmetic by the compiler's vector types, functions by Eigen.
//
// Each width belongs to one instruction set and is used in one translation unit compiled for it, so that every template
// on a pack is a symbol of that unit alone.
#pragma once

#include <Eigen/Core>

#include "gateswing/lanes/scalar.h"

namespace gateswing::lanes {

template <class Element, int lanes>
struct VectorOf {
  using type [[gnu::vector_size(sizeof(Element) * lanes)]] = Element;
};

template <int lanes>
struct Mask {
  using Vector = typename VectorOf<long long, lanes>::type;
  Vector v;

  friend Mask operator&&(const Mask& a, const Mask& b) { return {a.v & b.v}; }
  friend Mask operator||(const Mask& a, const Mask& b) { return {a.v | b.v}; }
  friend Mask operator!(const Mask& a) { return {~a.v}; }
  /// Bit i is lane i.
  friend unsigned bits(const Mask& mask) {
    unsigned result = 0;
    for (int i = 0; i < lanes; ++i) result |= static_cast<unsigned>(mask.v[i] & 1) << i;
    return result;
  }
};

template <int lanes>
struct Pack {
  static constexpr int width = lanes;
  using Vector = typename VectorOf<double, lanes>::type;
  Vector v;

  Pack() = default;
  Pack(double all) : v(Vector{} + all) {}
  explicit Pack(const Vector& vector) : v(vector) {}

  friend Pack operator-(const Pack& a) { return Pack(-a.v); }
  friend Pack operator+(const Pack& a, const Pack& b) { return Pack(a.v + b.v); }
  friend Pack operator-(const Pack& a, const Pack& b) { return Pack(a.v - b.v); }
  friend Pack operator*(const Pack& a, const Pack& b) { return Pack(a.v * b.v); }
  friend Pack operator/(const Pack& a, const Pack& b) { return Pack(a.v / b.v); }
  Pack& operator+=(const Pack& b) { return *this = *this + b; }
  Pack& operator-=(const Pack& b) { return *this = *this - b; }
  Pack& operator*=(const Pack& b) { return *this = *this * b; }

  friend Mask<lanes> operator<(const Pack& a, const Pack& b) { return {a.v < b.v}; }
  friend Mask<lanes> operator>(const Pack& a, const Pack& b) { return {a.v > b.v}; }
  friend Mask<lanes> operator<=(const Pack& a, const Pack& b) { return {a.v <= b.v}; }
  friend Mask<lanes> operator>=(const Pack& a, const Pack& b) { return {a.v >= b.v}; }
  friend Mask<lanes> operator==(const Pack& a, const Pack& b) { return {a.v == b.v}; }
  friend Pack select(const Mask<lanes>& mask, const Pack& a, const Pack& b) { return Pack(mask.v ? a.v : b.v); }

  friend Pack abs(const Pack& a) { return Pack(a.v < 0.0 ? -a.v : a.v); }
  friend Pack max(const Pack& a, const Pack& b) { return Pack(a.v < b.v ? b.v : a.v); }
  friend Pack min(const Pack& a, const Pack& b) { return Pack(b.v < a.v ? b.v : a.v); }

  friend Pack sqrt(const Pack& a) {
    return through(a, [](const auto& x) { return x.sqrt(); });
  }
  // Eigen clamps the argument, which would turn NaN into a number.
  friend Pack exp(const Pack& a) {
    return keep_nan(a, through(a, [](const auto& x) { return x.exp(); }));
  }
  friend Pack log(const Pack& a) {
    return keep_nan(a, through(a, [](const auto& x) { return x.log(); }));
  }
  /// x ln(u)/(u - 1) with u = 1 + x rounded, whose errors cancel: W. Kahan, from memory; for x > -1.
  friend Pack log1p(const Pack& a) {
    const Pack u = Pack(1.0) + a;
    const Pack rounded = u - Pack(1.0);
    const Mask<lanes> tiny = rounded == Pack(0.0);
    return select(tiny, a, a * (log(u) / select(tiny, Pack(1.0), rounded)));
  }

 private:
  using Array = Eigen::Array<double, lanes, 1>;

  template <class Function>
  static Pack through(const Pack& a, const Function& function) {
    Array x;
    __builtin_memcpy(x.data(), &a.v, sizeof(a.v));
    const Array y = function(x);
    Pack result;
    __builtin_memcpy(&result.v, y.data(), sizeof(result.v));
    return result;
  }
  static Pack keep_nan(const Pack& argument, const Pack& value) {
    return Pack(argument.v == argument.v ? value.v : argument.v);
  }
};

}  // namespace gateswing::lanes
