// Sign changes by monotonic stretches, each solved by a bracketing method that cannot diverge.
#include "gateswing/measure/sign_changes.h"

#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>

namespace gateswing::measure {

namespace {

// G. E. Alefeld, F. A. Potra, Y. Shi, Algorithm 748, ACM Trans. Math. Softw. 21, 327-344 (1995).
double bracketed_root(const waveform::Polynomial& p, double from, double value_from, double to, double value_to) {
  std::uintmax_t iterations = 100;
  const auto narrow = [](double low, double high) { return std::abs(high - low) <= 1e-15; };
  const auto [low, high] = boost::math::tools::toms748_solve(p, from, to, value_from, value_to, narrow, iterations);
  return low + 0.5 * (high - low);
}

}  // namespace

SignChanges sign_changes(const waveform::Polynomial& p, double from, double to) {
  return sign_changes(p, from, p(from), to, p(to));
}

SignChanges sign_changes(const waveform::Polynomial& p, double from, double value_from, double to, double value_to) {
  SignChanges result;
  if (p.degree == 0) return result;
  const SignChanges turning = sign_changes(p.derivative(), from, to);
  double low = from;
  double value_low = value_from;
  for (std::size_t i = 0; i <= turning.count; ++i) {
    const double high = i < turning.count ? turning.at[i] : to;
    const double value_high = i < turning.count ? p(high) : value_to;
    if ((value_low >= 0.0) != (value_high >= 0.0)) {
      // No room between them where an extremum at an end differs in sign, by rounding, from the value given there.
      result.at[result.count++] = low < high ? bracketed_root(p, low, value_low, high, value_high) : low;
    }
    low = high;
    value_low = value_high;
  }
  return result;
}

}  // namespace gateswing::measure
