// A waveform: what every recorded voltage and current did over time, on the time steps of whoever produced it.
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "gateswing/waveform/polynomial.h"

namespace gateswing::waveform {

struct Channel {
  std::string name;
  std::string unit;  // SI symbol, "V", "A", "W", ...

  bool operator==(const Channel&) const = default;
};

// Steps [t_k, t_k+1] follow each other without a gap. In each, every channel is a polynomial given by its values at
// degree + 1 equally spaced nodes, both ends included (degree 4 for a simulation's dense output, 1 for sampled data).
// The ends are stored for both neighbours of a joint, so a channel may jump there and both one-sided values are kept.
class Waveform {
 public:
  // Names must be non-empty and distinct; 1 <= degree <= max_degree.
  Waveform(std::vector<Channel> channels, std::size_t degree);

  // Straight lines between samples: `times` [s] strictly increasing, at least two; values[channel][sample].
  static Waveform from_samples(std::vector<Channel> channels, std::span<const double> times,
                               std::span<const std::span<const double>> values);

  // The inverse of times() and values(): one entry per node in each, values[channel][node].
  static Waveform from_nodes(std::vector<Channel> channels, std::size_t degree, std::vector<double> times,
                             std::vector<std::vector<double>> values);

  // Appends the step [begin, end] [s]; begin must equal end() of what is there. `nodes` is row-major
  // [node][channel], (degree + 1) x channels().size(). Allocates only beyond what reserve() or earlier use provided.
  void append_step(double begin, double end, std::span<const double> nodes);
  void reserve(std::size_t steps);
  void clear();  // drops the steps, keeps channels and memory

  const std::vector<Channel>& channels() const { return channels_; }
  std::size_t channel(std::string_view name) const;  // index; the error for an unknown name lists the known ones
  std::size_t degree() const { return degree_; }
  std::size_t steps() const { return times_.size() / nodes_per_step(); }
  std::size_t nodes_per_step() const { return degree_ + 1; }
  bool empty() const { return times_.empty(); }

  // First and last time [s]; the waveform must not be empty.
  double begin() const;
  double end() const;

  // Time [s] and value of every node, steps() * nodes_per_step() of them; a joint's time appears twice.
  std::span<const double> times() const { return times_; }
  std::span<const double> values(std::size_t channel) const { return values_[channel]; }

  // One step k < steps(). step_at() gives the step that holds t; a joint belongs to the step that begins there.
  double step_begin(std::size_t step) const { return times_[step * nodes_per_step()]; }
  double step_end(std::size_t step) const { return times_[step * nodes_per_step() + degree_]; }
  std::size_t step_at(double t) const;
  std::span<const double> nodes(std::size_t channel, std::size_t step) const;
  Polynomial polynomial(std::size_t channel, std::size_t step) const { return interpolate(nodes(channel, step)); }

  // Value, and slope [unit/s], at t in [begin(), end()]; outside is an error. At a jump: the value after it.
  double value(std::size_t channel, double t) const;
  double derivative(std::size_t channel, double t) const;

  // value() at each of `times`, in any order; fastest when they ascend.
  std::vector<double> resample(std::size_t channel, std::span<const double> times) const;
  void resample(std::size_t channel, std::span<const double> times, std::span<double> values) const;

  bool operator==(const Waveform&) const = default;

 private:
  void require_within(double t) const;
  void append_times(double begin, double end);

  std::vector<Channel> channels_;
  std::size_t degree_;
  std::vector<double> times_;
  std::vector<std::vector<double>> values_;
};

// The local variable s in [-1, 1] of time t in the step [begin, end].
inline double local_variable(double t, double begin, double end) {
  return ((t - begin) - (end - t)) / (end - begin);
}

}  // namespace gateswing::waveform
