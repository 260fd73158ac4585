// What two channels have in common: the current that passes both switches of a bridge.
#pragma once

#include <cstddef>

#include "gateswing/measure/window.h"

namespace gateswing::measure {

// Integral of max(0, min(a, b)) over time [unit s]. Of the forward currents of two switches in series it is the charge
// that goes through both, whatever else the load makes one of them carry. Of a channel with itself: the integral of its
// positive part.
double common_part(const waveform::Waveform& waveform, std::size_t channel, std::size_t other, Window window);

// The same, weighted with a third channel [unit unit s]; of a voltage, the energy that this charge turns to heat [J].
double common_part_of_product(const waveform::Waveform& waveform, std::size_t channel, std::size_t other,
                              std::size_t weight, Window window);

}  // namespace gateswing::measure
