// Frequency and decay of a ring around a settled value.
#pragma once

#include <cstddef>
#include <optional>

#include "gateswing/measure/window.h"

namespace gateswing::measure {

struct Ring {
  double frequency;         // of the damped oscillation [Hz]
  double decay_time;        // tau [s]: the amplitude falls as exp(-t / tau); negative for a ring that grows
  double begin;             // a period before the first extremum, but no sooner than the window [s]
  double amplitude;         // of the envelope through the extrema, at `begin` [unit]
  std::size_t half_cycles;  // how many the figures rest on

  // Q = pi frequency tau, so the amplitude falls by exp(-pi / Q) per cycle. (Of a series RLC, sqrt(L/C)/R times
  // sqrt(1 - damping_ratio^2).)
  double quality() const;

  // zeta of the second-order response with this decrement: 1 / sqrt(1 + (2 pi frequency tau)^2).
  double damping_ratio() const;
};

// The ring of `channel` about `settled` [unit], which decays in `window`: begin it after the edge itself (at the end of
// the main transition), end it before the next.
//
// A half cycle is an excursion beyond settled -/+ noise_floor [unit]; smaller ones, as noise makes around each
// crossing, count for nothing, so choose it a few times the noise. A pause longer than a half cycle ends the ring. The
// excursion in which the window begins does not count, since it may be the rest of the edge, and that in which it ends
// only if its extremum is higher than the end by the noise floor. None with fewer than three half cycles.
//
//   frequency   from the times between crossings of the settled value, over whole cycles where there are enough, so an
//               error of `settled` cancels
//   decay_time  line through ln |e_j+1 - e_j| over time, e_j the extrema, by least squares weighted with the square of
//               the difference: successive differences of a damped sinusoid decay as it does, and neither an error of
//               `settled` nor unequal halves (a ring against a nonlinear capacitance) enter. For a linear ring:
//               decrement per cycle 2 pi zeta / sqrt(1 - zeta^2).
//               Noise lifts each extremum by about as much, which lengthens tau: by 5 % for noise of 0.7 % of the first
//               peak and Q = 10 (measured). Smooth such samples first.
//   amplitude   of that line, carried back to where the ring may have begun: no single extremum, whose place at the
//               rest of the edge is chance, decides about it
std::optional<Ring> ring(const waveform::Waveform& waveform, std::size_t channel, double settled, double noise_floor,
                         Window window);

}  // namespace gateswing::measure
