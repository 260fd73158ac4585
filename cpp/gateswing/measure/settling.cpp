// The last entry into the band around the settled value.
#include "gateswing/measure/settling.h"

#include <algorithm>
#include <cmath>

#include "gateswing/measure/crossing.h"
#include "gateswing/network/refusals.h"

namespace gateswing::measure {

std::optional<double> settling_time(const waveform::Waveform& waveform, std::size_t channel, double settled,
                                    double tolerance, Window window) {
  if (!(tolerance > 0.0)) network::refuse(tolerance, {}, "the tolerance of a settling time", "above zero");
  const std::optional<double> from_above =
      last_crossing(waveform, channel, settled + tolerance, Direction::falling, window);
  const std::optional<double> from_below =
      last_crossing(waveform, channel, settled - tolerance, Direction::rising, window);
  if (std::abs(waveform.value(channel, window.end) - settled) > tolerance) return std::nullopt;
  return std::max(from_above.value_or(window.begin), from_below.value_or(window.begin));
}

}  // namespace gateswing::measure
