#include "gateswing/measure/duration.h"

#include "gateswing/measure/crossing.h"

namespace gateswing::measure {

double time_above(const waveform::Waveform& waveform, std::size_t channel, double level, Window window) {
  double total = 0.0;
  double since = window.begin;
  bool above = waveform.value(channel, window.begin) >= level;
  for (const Crossing& crossing : crossings(waveform, channel, level, window)) {
    if (above) total += crossing.time - since;
    above = crossing.direction == Direction::rising;
    since = crossing.time;
  }
  return above ? total + (window.end - since) : total;
}

double time_between(const waveform::Waveform& waveform, std::size_t channel, double low, double high, Window window) {
  return time_above(waveform, channel, low, window) - time_above(waveform, channel, high, window);
}

}  // namespace gateswing::measure
