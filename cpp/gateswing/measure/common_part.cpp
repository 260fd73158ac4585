// Each step is cut where either polynomial or their difference changes sign; between cuts the quadrature is exact.
#include "gateswing/measure/common_part.h"

#include <algorithm>
#include <boost/math/quadrature/gauss.hpp>
#include <vector>

#include "gateswing/measure/sign_changes.h"

namespace gateswing::measure {
namespace {

using waveform::Polynomial;

constexpr unsigned points = 7;
static_assert(2 * points - 1 >= 2 * waveform::max_degree, "the product of two channels must be integrated exactly");

Polynomial difference(Polynomial p, const Polynomial& q) {
  p.degree = std::max(p.degree, q.degree);
  for (std::size_t i = 0; i <= p.degree; ++i) p.coefficients[i] -= q.coefficients[i];
  return p;
}

bool is_never_positive(const Polynomial& p) {
  return p(0.0) + p.spread() <= 0.0;
}

std::vector<double> cuts(const Polynomial& p, const Polynomial& q, double from, double to) {
  std::vector<double> result{from, to};
  for (const Polynomial& one : {p, q, difference(p, q)}) {
    const SignChanges changes = sign_changes(one, from, to);
    result.insert(result.end(), changes.begin(), changes.end());
  }
  std::ranges::sort(result);
  return result;
}

// `weigh(step)` makes the factor of the common part, a function of s.
template <class Weigh>
double sum_over_pieces(const waveform::Waveform& waveform, std::size_t channel, std::size_t other, Window window,
                       Weigh weigh) {
  double sum = 0.0;
  for (const Piece piece : Pieces(waveform, window)) {
    const Polynomial p = waveform.polynomial(channel, piece.step);
    const Polynomial q = waveform.polynomial(other, piece.step);
    if (!(piece.from < piece.to) || is_never_positive(p) || is_never_positive(q)) continue;
    const std::vector<double> at = cuts(p, q, piece.from, piece.to);
    const auto factor = weigh(piece.step);
    for (std::size_t i = 0; i + 1 < at.size(); ++i) {
      const double middle = 0.5 * (at[i] + at[i + 1]);
      const Polynomial& smaller = p(middle) < q(middle) ? p : q;
      if (!(at[i] < at[i + 1]) || smaller(middle) <= 0.0) continue;
      const auto integrand = [&](double s) { return smaller(s) * factor(s); };
      sum +=
          boost::math::quadrature::gauss<double, points>::integrate(integrand, at[i], at[i + 1]) / piece.slope_factor();
    }
  }
  return sum;
}

}  // namespace

double common_part(const waveform::Waveform& waveform, std::size_t channel, std::size_t other, Window window) {
  return sum_over_pieces(waveform, channel, other, window, [](std::size_t) { return [](double) { return 1.0; }; });
}

double common_part_of_product(const waveform::Waveform& waveform, std::size_t channel, std::size_t other,
                              std::size_t weight, Window window) {
  return sum_over_pieces(waveform, channel, other, window,
                         [&](std::size_t step) { return waveform.polynomial(weight, step); });
}

}  // namespace gateswing::measure
