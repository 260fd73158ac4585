// Integrals and averages over a window: charge, energy, mean, effective value.
#pragma once

#include <cstddef>

#include "gateswing/measure/window.h"

namespace gateswing::measure {

// All are exact for the recorded polynomials (Gauss-Legendre inside each step).

// Integral of a channel over time [unit s]; of a current, the charge [C].
double integral(const waveform::Waveform& waveform, std::size_t channel, Window window);

// Integral of the product of two channels [unit unit s]; of a voltage and a current, the energy [J].
double integral_of_product(const waveform::Waveform& waveform, std::size_t channel, std::size_t other, Window window);

// Average and root of the mean square [unit]; the window must have length. The average over a stretch at rest is the
// settled value that levels are taken from.
double mean(const waveform::Waveform& waveform, std::size_t channel, Window window);
double root_mean_square(const waveform::Waveform& waveform, std::size_t channel, Window window);

}  // namespace gateswing::measure
