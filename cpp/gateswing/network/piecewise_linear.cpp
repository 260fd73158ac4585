#include "gateswing/network/piecewise_linear.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <stdexcept>

#include "gateswing/network/refusals.h"

namespace gateswing::network {
namespace {

constexpr double shortest_ramp = 1e-12;  // [s]

void require_increasing(const std::vector<Corner>& corners) {
  if (corners.empty()) throw std::invalid_argument("a piecewise-linear input needs at least one corner");
  for (const Corner& corner : corners) {
    if (!std::isfinite(corner.time) || !std::isfinite(corner.value)) {
      throw std::invalid_argument("a corner of a piecewise-linear input must have a finite time [s] and value, got " +
                                  text(corner.time) + " and " + text(corner.value));
    }
  }
  const auto not_increasing = [](const Corner& a, const Corner& b) { return !(a.time < b.time); };
  const auto found = std::ranges::adjacent_find(corners, not_increasing);
  if (found == corners.end()) return;
  refuse(std::next(found)->time, {}, "corner times [s] of a piecewise-linear input",
         "increasing from corner to corner, above " + text(found->time));
}

void require_ordered(std::span<const Pulse> pulses) {
  const auto backward = [](const Pulse& pulse) { return !(pulse.on <= pulse.off); };
  const auto ends_early = std::ranges::find_if(pulses, backward);
  if (ends_early != pulses.end())
    refuse(ends_early->off, {}, "the end of a gate pulse [s]", "at its begin, " + text(ends_early->on) + ", or later");
  const auto overlap = [](const Pulse& earlier, const Pulse& later) { return !(earlier.off <= later.on); };
  const auto found = std::ranges::adjacent_find(pulses, overlap);
  if (found == pulses.end()) return;
  refuse(std::next(found)->on, {}, "the begin of a gate pulse [s]",
         "at the end of the one before, " + text(found->off) + ", or later");
}

void require_valid(const CommandTiming& timing) {
  require_not_negative(timing.rise_time, {}, "the driver's rise time [s]");
  require_not_negative(timing.fall_time, {}, "the driver's fall time [s]");
  require_not_negative(timing.turn_on_delay, {}, "the driver's turn-on delay [s]");
  require_not_negative(timing.turn_off_delay, {}, "the driver's turn-off delay [s]");
}

/// The segment of ascending corners that begins at or before `time`.
Segment segment_of(const std::vector<Corner>& corners, double time) {
  const auto next = std::ranges::upper_bound(corners, time, {}, &Corner::time);
  if (next == corners.begin()) return {time, corners.front().value, 0.0};
  if (next == corners.end()) return {time, corners.back().value, 0.0};
  const Corner& left = *std::prev(next);
  const double slope = (next->value - left.value) / (next->time - left.time);
  return {left.time, left.value, slope};
}

double value_of(const Segment& segment, double time) {
  return segment.value + segment.slope * (time - segment.start);
}

/// Appends the ramp from the command's present level to `target`, cutting off what `start` makes obsolete.
void append_ramp(std::vector<Corner>& corners, double start, double target, double full_ramp_time) {
  const double level = value_of(segment_of(corners, start), start);
  while (corners.size() > 1 && corners.back().time >= start) corners.pop_back();
  if (corners.back().time < start) corners.push_back({start, level});
  const double span = std::abs(target - level);
  if (span == 0.0) return;
  const double ramp = std::max(full_ramp_time * span, shortest_ramp);
  corners.push_back({corners.back().time + ramp, target});
}

}  // namespace

PiecewiseLinear::PiecewiseLinear(double constant) : PiecewiseLinear(std::vector<Corner>{{0.0, constant}}) {}

PiecewiseLinear::PiecewiseLinear(std::vector<Corner> corners) : corners_(std::move(corners)) {
  require_increasing(corners_);
}

Segment PiecewiseLinear::segment_from(double time) const {
  return segment_of(corners_, time);
}

double PiecewiseLinear::value(double time) const {
  return value_of(segment_from(time), time);
}

std::vector<double> corner_times(std::span<const PiecewiseLinear> inputs, double begin, double end) {
  std::vector<double> times;
  for (const PiecewiseLinear& input : inputs) {
    if (input.is_constant()) continue;
    for (const Corner& corner : input.corners()) {
      if (corner.time > begin && corner.time < end) times.push_back(corner.time);
    }
  }
  std::ranges::sort(times);
  const auto repeated = std::ranges::unique(times);
  times.erase(repeated.begin(), repeated.end());
  return times;
}

PiecewiseLinear gate_command(std::span<const Pulse> pulses, const CommandTiming& timing) {
  require_ordered(pulses);
  require_valid(timing);
  if (pulses.empty()) return PiecewiseLinear(0.0);
  std::vector<Corner> corners{{pulses.front().on + timing.turn_on_delay - 1.0, 0.0}};
  for (const Pulse& pulse : pulses) {
    const double rise_start = pulse.on + timing.turn_on_delay;
    const double fall_start = pulse.off + timing.turn_off_delay;
    if (fall_start <= rise_start) continue;
    append_ramp(corners, rise_start, 1.0, timing.rise_time);
    append_ramp(corners, fall_start, 0.0, timing.fall_time);
  }
  return PiecewiseLinear(std::move(corners));
}

PeriodicCommand periodic_gate_command(const Pulse& pulse, double period, const CommandTiming& timing) {
  require_valid(timing);
  const double logic_on = pulse.off - pulse.on;
  require_positive(period, {}, "the period of a gate pulse [s]");
  require_finite(pulse.on, {}, "the begin of a repeated gate pulse [s]");
  const bool fits = logic_on >= 0.0 && logic_on <= period;
  if (!fits) refuse(logic_on, {}, "the length of a repeated gate pulse [s]", "from 0 to its period, " + text(period));
  const double output_on = logic_on + timing.turn_off_delay - timing.turn_on_delay;
  if (logic_on == 0.0 || output_on <= 0.0) return {PiecewiseLinear(0.0), 0.0, 0.0};
  if (logic_on == period || output_on >= period) return {PiecewiseLinear(1.0), 0.0, period};
  const double rise = pulse.on + timing.turn_on_delay;
  const double first = rise - period * std::floor(rise / period);
  // Delays are taken into the pulses' times here; what is left is the same for all.
  const CommandTiming ramps{timing.rise_time, timing.fall_time, 0.0, 0.0};
  std::vector<Pulse> pulses;
  for (int k = -2; k <= 2; ++k) {
    const double on = first + k * period;
    pulses.push_back({on, on + output_on});
  }
  // Where more is climbed in a pulse than lost between two, the level is complete at each fall, else at each rise.
  const bool climbs = output_on * timing.fall_time > (period - output_on) * timing.rise_time;
  if (climbs) pulses.front().on -= timing.rise_time;
  return {gate_command(pulses, ramps), first, output_on};
}

}  // namespace gateswing::network
