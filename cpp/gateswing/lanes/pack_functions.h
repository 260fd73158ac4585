// Exponential and logarithms of packs, on the arguments that the laws and the step control have: polynomials without
// the special cases of a general library, half of whose time goes into those and into quotients.
//
// Coefficients: interpolation at the Chebyshev points of the interval stated, computed with 80 digits. Errors below
// three units in the last place. Every kernel has fused multiply-adds, so all of them give the same bits.
#pragma once

#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <numbers>

#include "gateswing/lanes/pack.h"

namespace gateswing::lanes {

/// sum_k coefficients[k] x^k as even + x odd, two chains that do not wait for each other.
template <class Real>
Real polynomial(const std::array<double, 10>& coefficients, const Real& x) {
  const Real square = x * x;
  Real even(coefficients[8]);
  Real odd(coefficients[9]);
  for (std::size_t k = 8; k > 0; k -= 2) {
    even = multiply_add(even, square, Real(coefficients[k - 2]));
    odd = multiply_add(odd, square, Real(coefficients[k - 1]));
  }
  return multiply_add(odd, x, even);
}

/// exp(x) = 2^k exp(r) with |r| <= ln(2)/2. Constant below -708 and above 709, where the result would leave the range
/// of normal numbers; NaN for NaN.
template <int registers, int lanes>
Pack<registers, lanes> exp(const Pack<registers, lanes>& a) {
  using Real = Pack<registers, lanes>;
  // (exp(r) - 1 - r)/r^2 to 2e-17 of exp(r).
  constexpr std::array<double, 10> rest{0.5000000000000001,     0.16666666666666669,    0.04166666666662416,
                                        0.008333333333330063,   0.0013888888917199863,  0.00019841269863042963,
                                        2.4801521317484083e-05, 2.7557268476553695e-06, 2.7620078203806394e-07,
                                        2.5100377619606372e-08};
  // The first digits of ln 2, and the others: k ln2_high is exact. NOLINTNEXTLINE(modernize-use-std-numbers)
  constexpr double ln2_high = 0x1.62e42feep-1, ln2_low = 0x1.a39ef35793c76p-33;
  constexpr double to_integer = 0x1.8p52;  // added, it leaves the nearest integer in the last bits
  constexpr std::int64_t bias = 1023;
  const Real x = min(max(a, Real(-708.0)), Real(709.0));
  const Real shifted = multiply_add(x, Real(std::numbers::log2e), Real(to_integer));
  const Real k = shifted - Real(to_integer);
  const Real r = multiply_add(k, Real(-ln2_low), multiply_add(k, Real(-ln2_high), x));
  const Real power = Real::map([&](int i) {
    using Bits = typename Mask<registers, lanes>::Vector;
    return std::bit_cast<typename Real::Vector>((std::bit_cast<Bits>(shifted.v[i]) + bias) << 52);
  });
  return multiply_add(multiply_add(r * r, polynomial(rest, r), r), power, power);
}

/// ln((d + n)/(d - n)) = 2 artanh(n/d) for |n/d| <= 1/3.
template <class Real>
Real log_of_ratio(const Real& n, const Real& d) {
  // (artanh(z)/z - 1)/z^2 by powers of z^2, to 1e-17 of artanh(z)/z.
  constexpr std::array<double, 10> rest{
      0.3333333333333333,  0.20000000000007292, 0.1428571428355438,  0.11111111358713932, 0.09090894718066429,
      0.07692785032479312, 0.06657072104827468, 0.06000536404795356, 0.04400369243072337, 0.08082022805971766};
  const Real z = n / d;
  const Real square = z * z;
  const Real twice = z + z;
  return multiply_add(twice * square, polynomial(rest, square), twice);
}

/// ln(1 + x) for -1/2 <= x <= 1; NaN for NaN.
template <int registers, int lanes>
Pack<registers, lanes> log1p(const Pack<registers, lanes>& x) {
  return log_of_ratio(x, Pack<registers, lanes>(2.0) + x);
}

/// ln(x) = k ln 2 + ln(m) with m from sqrt(1/2) to sqrt(2), for normal x > 0; infinity and NaN as they are.
template <int registers, int lanes>
Pack<registers, lanes> log(const Pack<registers, lanes>& x) {
  using Real = Pack<registers, lanes>;
  using Bits [[gnu::vector_size(sizeof(std::uint64_t) * lanes)]] = std::uint64_t;
  constexpr double ln2 = std::numbers::ln2, two_to_52 = 0x1p52, bias = 1023.0;
  constexpr auto root = std::bit_cast<std::uint64_t>(0x1.6a09e667f3bcdp-1);
  constexpr auto one = std::bit_cast<std::uint64_t>(1.0);
  constexpr auto integer = std::bit_cast<std::uint64_t>(two_to_52);  // its last bits count ones
  constexpr std::uint64_t fraction = (std::uint64_t{1} << 52U) - 1;
  Real k, m;
  for (int i = 0; i < registers; ++i) {
    const Bits from_root = std::bit_cast<Bits>(x.v[i]) - root;
    k.v[i] = std::bit_cast<typename Real::Vector>(((from_root + one) >> 52) | integer);
    m.v[i] = std::bit_cast<typename Real::Vector>((from_root & fraction) + root);
  }
  const Real one_less = m - Real(1.0);
  const Real whole = multiply_add(k - Real(two_to_52 + bias), Real(ln2), log_of_ratio(one_less, m + Real(1.0)));
  return select(x <= Real(0x1.fffffffffffffp1023), whole, x);
}

}  // namespace gateswing::lanes
