// The flattest point of the gate voltage.
#include "gateswing/measure/plateau.h"

#include <cmath>
#include <limits>

#include "gateswing/measure/sign_changes.h"

namespace gateswing::measure {

Plateau plateau(const waveform::Waveform& waveform, std::size_t gate_source, Window transition) {
  Plateau flattest{transition.begin, 0.0, std::numeric_limits<double>::infinity()};
  for (const Piece piece : Pieces(waveform, transition)) {
    const waveform::Polynomial p = waveform.polynomial(gate_source, piece.step);
    const waveform::Polynomial slope = p.derivative();
    const auto consider = [&flattest, &p, &piece](double s, double magnitude) {
      if (magnitude < flattest.slope) flattest = {piece.time(s), p(s), magnitude};
    };
    const auto magnitude = [&slope, &piece](double s) { return std::abs(slope(s)) * piece.slope_factor(); };
    for (const double s : sign_changes(slope, piece.from, piece.to)) consider(s, 0.0);
    consider(piece.from, magnitude(piece.from));
    for (const double s : sign_changes(slope.derivative(), piece.from, piece.to)) consider(s, magnitude(s));
    consider(piece.to, magnitude(piece.to));
  }
  return flattest;
}

}  // namespace gateswing::measure
