#include "gateswing/measure/duration.h"

#include "gateswing/measure/crossing.h"

namespace gateswing::measure {

double time_above(const waveform::Waveform& waveform, std::size_t channel, double level, Window window) {
  double below = 0.0;
  for (const Window& stretch : stretches_below(waveform, channel, level, window)) below += stretch.length();
  return window.length() - below;
}

double time_between(const waveform::Waveform& waveform, std::size_t channel, double low, double high, Window window) {
  return time_above(waveform, channel, low, window) - time_above(waveform, channel, high, window);
}

std::vector<Window> stretches_below(const waveform::Waveform& waveform, std::size_t channel, double level,
                                    Window window) {
  std::vector<Window> stretches;
  double begin = window.begin;
  bool below = waveform.value(channel, window.begin) < level;
  for (const Crossing& crossing : crossings(waveform, channel, level, window)) {
    below = crossing.direction == Direction::falling;
    if (below) {
      begin = crossing.time;
    } else {
      stretches.push_back({begin, crossing.time});
    }
  }
  if (below) stretches.push_back({begin, window.end});
  return stretches;
}

}  // namespace gateswing::measure
