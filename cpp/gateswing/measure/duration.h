// How long a channel stays above a level, or between two.
#pragma once

#include <vector>

#include "gateswing/measure/window.h"
#include "gateswing/waveform/waveform.h"

namespace gateswing::measure {

// Total time in the window during which the channel is at or above `level` [s].
double time_above(const waveform::Waveform& waveform, std::size_t channel, double level, Window window);

// Total time in the window during which low <= channel < high [s]; of v_DS between 10 % and 90 % of the bus it is the
// time spent switching, whether or not the transitions complete.
double time_between(const waveform::Waveform& waveform, std::size_t channel, double low, double high, Window window);

// The stretches of the window in which the channel is below `level`, in order of time; they may be empty of length.
std::vector<Window> stretches_below(const waveform::Waveform& waveform, std::size_t channel, double level,
                                    Window window);

}  // namespace gateswing::measure
