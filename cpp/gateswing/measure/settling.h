// When a channel has come to rest.
#pragma once

#include <cstddef>
#include <optional>

#include "gateswing/measure/window.h"

namespace gateswing::measure {

// The time [s] from which the channel stays within settled -/+ tolerance [unit of the channel] until the window's end;
// the window's begin if it never leaves that band; none if it is outside at the window's end. tolerance > 0.
// Common practice, no source: the tolerance is 2 % or 5 % of the step.
std::optional<double> settling_time(const waveform::Waveform& waveform, std::size_t channel, double settled,
                                    double tolerance, Window window);

}  // namespace gateswing::measure
