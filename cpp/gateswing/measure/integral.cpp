// Step-by-step Gauss-Legendre quadrature of the recorded polynomials.
#include "gateswing/measure/integral.h"

#include <boost/math/quadrature/gauss.hpp>
#include <cmath>

#include "gateswing/network/refusals.h"

namespace gateswing::measure {

namespace {

constexpr unsigned points = 7;
static_assert(2 * points - 1 >= 2 * waveform::max_degree, "the product of two channels must be integrated exactly");

// Sums the integrals of integrand(step), a function of s, over the pieces of the window.
template <class Integrand>
double sum_over_pieces(const waveform::Waveform& waveform, Window window, Integrand integrand) {
  double sum = 0.0;
  for (const Piece piece : Pieces(waveform, window)) {
    if (!(piece.from < piece.to)) continue;
    const double in_s =
        boost::math::quadrature::gauss<double, points>::integrate(integrand(piece.step), piece.from, piece.to);
    sum += in_s / piece.slope_factor();
  }
  return sum;
}

void require_length(Window window) {
  if (!(window.length() > 0.0)) network::refuse(window.length(), {}, "the window of an average [s]", "above zero");
}

}  // namespace

double integral(const waveform::Waveform& waveform, std::size_t channel, Window window) {
  return sum_over_pieces(waveform, window,
                         [&waveform, channel](std::size_t step) { return waveform.polynomial(channel, step); });
}

double integral_of_product(const waveform::Waveform& waveform, std::size_t channel, std::size_t other, Window window) {
  return sum_over_pieces(waveform, window, [&waveform, channel, other](std::size_t step) {
    return [p = waveform.polynomial(channel, step), q = waveform.polynomial(other, step)](double s) {
      return p(s) * q(s);
    };
  });
}

double mean(const waveform::Waveform& waveform, std::size_t channel, Window window) {
  require_length(window);
  return integral(waveform, channel, window) / window.length();
}

double root_mean_square(const waveform::Waveform& waveform, std::size_t channel, Window window) {
  require_length(window);
  return std::sqrt(integral_of_product(waveform, channel, channel, window) / window.length());
}

}  // namespace gateswing::measure
