// Highest and lowest values and slopes: peaks, overshoot, dv/dt, di/dt.
#pragma once

#include <cstddef>

#include "gateswing/measure/window.h"

namespace gateswing::measure {

struct Extremum {
  double time;   // [s], the first one where several are equal
  double value;  // [unit of the channel], for slopes per second
};

// Of the recorded polynomials themselves, so a peak between nodes is found to the record's full order.
Extremum maximum(const waveform::Waveform& waveform, std::size_t channel, Window window);
Extremum minimum(const waveform::Waveform& waveform, std::size_t channel, Window window);

// The highest less the lowest value.
double peak_to_peak(const waveform::Waveform& waveform, std::size_t channel, Window window);

// dv/dt and di/dt are not defined by IEC 60747-8. Common practice is the largest slope between the 10 % and 90 % levels
// (pass the window from main_transition), or over the whole event. `steepest_slope` is the one of largest magnitude,
// with its sign. On sampled data this is the slope between neighbouring samples, noise included.
Extremum maximum_slope(const waveform::Waveform& waveform, std::size_t channel, Window window);
Extremum minimum_slope(const waveform::Waveform& waveform, std::size_t channel, Window window);
Extremum steepest_slope(const waveform::Waveform& waveform, std::size_t channel, Window window);

// How far a step from `initial` to `settled` goes beyond its settled value, in the direction of the step.
struct Overshoot {
  double time;      // of the peak [s]
  double peak;      // [unit]
  double amount;    // beyond settled [unit], positive in the step's direction; negative if it never gets there
  double fraction;  // amount / |settled - initial|
};
Overshoot overshoot(const waveform::Waveform& waveform, std::size_t channel, double initial, double settled,
                    Window window);

}  // namespace gateswing::measure
