// Half cycles of a ring, and the line fits through them.
#include "gateswing/measure/ringing.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "gateswing/measure/crossing.h"
#include "gateswing/measure/extrema.h"
#include "gateswing/network/refusals.h"

namespace gateswing::measure {

namespace {

struct HalfCycle {
  Window window;
  Extremum peak;  // value less the settled one
};

// The excursions between neighbouring crossings of the settled value, the ends of the window taken as crossings.
class Excursions {
 public:
  Excursions(const waveform::Waveform& waveform, std::size_t channel, double settled, Window window)
      : waveform_(waveform),
        channel_(channel),
        settled_(settled),
        window_(window),
        crossings_(crossings(waveform, channel, settled, window)) {}

  std::size_t size() const { return crossings_.size() + 1; }

  HalfCycle operator[](std::size_t i) const {
    const Window part{i == 0 ? window_.begin : crossings_[i - 1].time,
                      i == crossings_.size() ? window_.end : crossings_[i].time};
    Extremum peak = above(i) ? maximum(waveform_, channel_, part) : minimum(waveform_, channel_, part);
    peak.value -= settled_;
    return {part, peak};
  }

  // Whether it was on its way at the begin of the window, or its extremum may lie beyond the end.
  bool is_cut(const HalfCycle& excursion, double noise_floor) const {
    const auto distance = [&](double time) { return std::abs(waveform_.value(channel_, time) - settled_); };
    if (excursion.window.begin == window_.begin && distance(window_.begin) > noise_floor) return true;
    return excursion.window.end == window_.end && std::abs(excursion.peak.value) - distance(window_.end) <= noise_floor;
  }

 private:
  bool above(std::size_t i) const {
    if (!crossings_.empty() && i < crossings_.size()) return crossings_[i].direction == Direction::falling;
    if (!crossings_.empty()) return crossings_.back().direction == Direction::rising;
    return waveform_.value(channel_, window_.begin) >= settled_;
  }

  const waveform::Waveform& waveform_;
  std::size_t channel_;
  double settled_;
  Window window_;
  std::vector<Crossing> crossings_;
};

void merge(HalfCycle& into, const HalfCycle& next) {
  into.window.end = next.window.end;
  if (std::abs(next.peak.value) > std::abs(into.peak.value)) into.peak = next.peak;
}

std::vector<HalfCycle> half_cycles(const Excursions& excursions, double noise_floor) {
  std::vector<HalfCycle> found;
  for (std::size_t i = 0; i < excursions.size(); ++i) {
    const HalfCycle next = excursions[i];
    if (std::abs(next.peak.value) <= noise_floor || excursions.is_cut(next, noise_floor)) continue;
    if (!found.empty() && next.window.begin - found.back().window.end > found.back().window.length()) break;
    if (!found.empty() && (found.back().peak.value > 0.0) == (next.peak.value > 0.0)) {
      merge(found.back(), next);
    } else {
      found.push_back(next);
    }
  }
  return found;
}

// Noise makes several crossings between two half cycles; the middle of them is taken.
double crossing_after(const std::vector<HalfCycle>& ring, std::size_t i) {
  return 0.5 * (ring[i].window.end + ring[i + 1].window.begin);
}

double period(const std::vector<HalfCycle>& ring) {
  const std::size_t last = ring.size() - 2;
  if (last == 1) return 2.0 * (crossing_after(ring, 1) - crossing_after(ring, 0));
  // The mean of all whole cycles t(i + 2) - t(i): the terms between the ends cancel.
  const double sum =
      crossing_after(ring, last) + crossing_after(ring, last - 1) - crossing_after(ring, 1) - crossing_after(ring, 0);
  return sum / static_cast<double>(last - 1);
}

struct Line {
  double time;   // where it is known best [s]
  double value;  // there
  double slope;  // [1/s]

  double at(double when) const { return value + slope * (when - time); }
};

// The line through (time, ln height), height the difference of neighbouring extrema. An error of the extrema, alike for
// all of them, moves ln height by its inverse: the weights of the least squares are height^2.
Line decay_line(const std::vector<HalfCycle>& ring) {
  double weights = 0.0;
  double mean_time = 0.0;
  double mean_log = 0.0;
  double covariance = 0.0;
  double variance = 0.0;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    const double height = std::abs(ring[i + 1].peak.value - ring[i].peak.value);
    const double weight = height * height;
    const double time_off = 0.5 * (ring[i].peak.time + ring[i + 1].peak.time) - mean_time;
    const double log_off = std::log(height) - mean_log;
    // Running weighted moments: one pass, and no cancellation of times that are large against a period.
    weights += weight;
    mean_time += time_off * weight / weights;
    mean_log += log_off * weight / weights;
    covariance += time_off * log_off * weight * (1.0 - weight / weights);
    variance += time_off * time_off * weight * (1.0 - weight / weights);
  }
  return {mean_time, mean_log, covariance / variance};
}

// The height between two extrema of an envelope A exp(slope t), half a period apart, is A (e^x + e^-x) halfway between,
// x = slope period / 4.
double amplitude_at(double time, const Line& decay, double period) {
  return std::exp(decay.at(time)) / (2.0 * std::cosh(0.25 * decay.slope * period));
}

}  // namespace

double Ring::quality() const {
  return std::numbers::pi * frequency * decay_time;
}

double Ring::damping_ratio() const {
  return std::copysign(1.0 / std::hypot(1.0, 2.0 * std::numbers::pi * frequency * decay_time), decay_time);
}

std::optional<Ring> ring(const waveform::Waveform& waveform, std::size_t channel, double settled, double noise_floor,
                         Window window) {
  if (!(noise_floor >= 0.0)) network::refuse(noise_floor, {}, "the noise floor of a ring", "zero or positive");
  const std::vector<HalfCycle> found = half_cycles(Excursions(waveform, channel, settled, window), noise_floor);
  if (found.size() < 3) return std::nullopt;
  const Line decay = decay_line(found);
  const double cycle = period(found);
  const double begin = std::max(window.begin, found.front().peak.time - cycle);
  return Ring{1.0 / cycle, -1.0 / decay.slope, begin, amplitude_at(begin, decay, cycle), found.size()};
}

}  // namespace gateswing::measure
