// Extrema of the step polynomials and of their slopes.
#include "gateswing/measure/extrema.h"

#include <cmath>
#include <limits>

#include "gateswing/measure/sign_changes.h"
#include "gateswing/network/refusals.h"

namespace gateswing::measure {

namespace {

enum class Quantity { value, slope };

// The maximum of sign * quantity; sign is +1 or -1.
Extremum highest(const waveform::Waveform& waveform, std::size_t channel, Window window, Quantity quantity,
                 double sign) {
  Extremum best{window.begin, -std::numeric_limits<double>::infinity()};
  for (const Piece piece : Pieces(waveform, window)) {
    const waveform::Polynomial value = waveform.polynomial(channel, piece.step);
    const bool of_slope = quantity == Quantity::slope;
    const waveform::Polynomial p = of_slope ? value.derivative() : value;
    const double factor = sign * (of_slope ? piece.slope_factor() : 1.0);
    if (factor * p(0.0) + std::abs(factor) * p.spread() <= best.value) continue;
    const auto consider = [&](double s) {
      const double found = factor * (of_slope ? p(s) : value_at(waveform, channel, value, piece, s));
      if (found > best.value) best = {piece.time(s), found};
    };
    consider(piece.from);
    for (const double s : sign_changes(p.derivative(), piece.from, piece.to)) consider(s);
    consider(piece.to);
  }
  return {best.time, sign * best.value};
}

}  // namespace

Extremum maximum(const waveform::Waveform& waveform, std::size_t channel, Window window) {
  return highest(waveform, channel, window, Quantity::value, 1.0);
}

Extremum minimum(const waveform::Waveform& waveform, std::size_t channel, Window window) {
  return highest(waveform, channel, window, Quantity::value, -1.0);
}

double peak_to_peak(const waveform::Waveform& waveform, std::size_t channel, Window window) {
  return maximum(waveform, channel, window).value - minimum(waveform, channel, window).value;
}

Extremum maximum_slope(const waveform::Waveform& waveform, std::size_t channel, Window window) {
  return highest(waveform, channel, window, Quantity::slope, 1.0);
}

Extremum minimum_slope(const waveform::Waveform& waveform, std::size_t channel, Window window) {
  return highest(waveform, channel, window, Quantity::slope, -1.0);
}

Extremum steepest_slope(const waveform::Waveform& waveform, std::size_t channel, Window window) {
  const Extremum up = maximum_slope(waveform, channel, window);
  const Extremum down = minimum_slope(waveform, channel, window);
  return up.value >= -down.value ? up : down;
}

Overshoot overshoot(const waveform::Waveform& waveform, std::size_t channel, double initial, double settled,
                    Window window) {
  if (initial == settled)
    network::refuse(settled, {}, "the settled level of an overshoot", "another one than before the step");
  const bool rising = settled > initial;
  const Extremum peak = rising ? maximum(waveform, channel, window) : minimum(waveform, channel, window);
  const double amount = rising ? peak.value - settled : settled - peak.value;
  return {peak.time, peak.value, amount, amount / std::abs(settled - initial)};
}

}  // namespace gateswing::measure
