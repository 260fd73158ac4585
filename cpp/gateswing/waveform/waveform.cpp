// Building a waveform step by step and reading it at any time.
#include "gateswing/waveform/waveform.h"

#include <algorithm>
#include <cmath>
#include <sstream>
#include <stdexcept>
#include <utility>

namespace gateswing::waveform {

namespace {

[[noreturn]] void refuse(const std::string& sentence) {
  throw std::invalid_argument(sentence);
}

// Takes a literal, so that the sentence costs nothing step by step, where it is not needed.
void require(bool condition, const char* sentence) {
  if (!condition) refuse(sentence);
}

std::string number(double value) {
  std::ostringstream text;
  text << value;
  return text.str();
}

bool all_finite(std::span<const double> values) {
  return std::ranges::all_of(values, [](double value) { return std::isfinite(value); });
}

std::string listed(const std::vector<Channel>& channels) {
  std::string names;
  for (const Channel& channel : channels) names += (names.empty() ? "" : ", ") + channel.name;
  return names.empty() ? "none" : names;
}

void require_distinct_names(const std::vector<Channel>& channels) {
  for (auto channel = channels.begin(); channel != channels.end(); ++channel) {
    require(!channel->name.empty(), "a waveform channel has an empty name");
    const bool repeated = std::any_of(channels.begin(), channel,
                                      [&channel](const Channel& earlier) { return earlier.name == channel->name; });
    if (repeated) refuse("the waveform channel name '" + channel->name + "' is used twice");
  }
}

void require_values(std::span<const double> values, std::size_t expected, const Channel& channel) {
  if (values.size() != expected) {
    refuse("channel '" + channel.name + "' has " + std::to_string(values.size()) + " values for " +
           std::to_string(expected) + " times");
  }
  if (!all_finite(values)) refuse("channel '" + channel.name + "' holds a value that is not a finite number");
}

// Times that were written with few digits still pass; nodes placed elsewhere do not.
void require_equally_spaced(std::span<const double> times, std::span<const double> expected) {
  const double tolerance = 1e-3 * (times.back() - times.front());
  for (std::size_t node = 0; node < times.size(); ++node) {
    if (std::abs(times[node] - expected[node]) <= tolerance) continue;
    refuse("the nodes of the waveform step that begins at " + number(times.front()) + " s are not equally spaced");
  }
}

}  // namespace

Waveform::Waveform(std::vector<Channel> channels, std::size_t degree)
    : channels_(std::move(channels)), degree_(degree), values_(channels_.size()) {
  if (degree < 1 || degree > max_degree) {
    refuse("the degree of a waveform must be 1 to " + std::to_string(max_degree) + ", not " + std::to_string(degree));
  }
  require_distinct_names(channels_);
}

Waveform Waveform::from_samples(std::vector<Channel> channels, std::span<const double> times,
                                std::span<const std::span<const double>> values) {
  Waveform result(std::move(channels), 1);
  const std::size_t width = result.channels_.size();
  require(times.size() >= 2, "a waveform needs at least two samples");
  require(values.size() == width, "a waveform needs one array of values for each channel");
  for (std::size_t c = 0; c < width; ++c) require_values(values[c], times.size(), result.channels_[c]);

  result.reserve(times.size() - 1);
  for (std::size_t sample = 0; sample + 1 < times.size(); ++sample) {
    result.append_times(times[sample], times[sample + 1]);
    for (std::size_t c = 0; c < width; ++c) {
      result.values_[c].push_back(values[c][sample]);
      result.values_[c].push_back(values[c][sample + 1]);
    }
  }
  return result;
}

Waveform Waveform::from_nodes(std::vector<Channel> channels, std::size_t degree, std::vector<double> times,
                              std::vector<std::vector<double>> values) {
  Waveform result(std::move(channels), degree);
  const std::size_t stride = result.nodes_per_step();
  require(times.size() % stride == 0, "the number of nodes of a waveform must be a multiple of its degree + 1");
  require(values.size() == result.channels_.size(), "a waveform needs one array of values for each channel");
  for (std::size_t c = 0; c < values.size(); ++c) require_values(values[c], times.size(), result.channels_[c]);

  result.times_.reserve(times.size());
  for (std::size_t first = 0; first < times.size(); first += stride) {
    result.append_times(times[first], times[first + degree]);
    require_equally_spaced(std::span(times).subspan(first, stride), std::span(result.times_).subspan(first, stride));
  }
  result.values_ = std::move(values);
  return result;
}

void Waveform::append_step(double begin, double end, std::span<const double> nodes) {
  const std::size_t width = channels_.size();
  require(nodes.size() == nodes_per_step() * width, "a waveform step needs (degree + 1) x channels values");
  require(all_finite(nodes), "a waveform step holds a value that is not a finite number");
  append_times(begin, end);
  for (std::size_t c = 0; c < width; ++c) {
    for (std::size_t node = 0; node < nodes_per_step(); ++node) values_[c].push_back(nodes[node * width + c]);
  }
}

void Waveform::append_times(double begin, double end) {
  require(std::isfinite(begin) && std::isfinite(end) && begin < end, "a waveform step must end after it begins");
  require(times_.empty() || begin == times_.back(), "a waveform step must begin where the one before it ends");
  for (std::size_t node = 0; node < degree_; ++node) {
    times_.push_back(begin + (end - begin) * (static_cast<double>(node) / static_cast<double>(degree_)));
  }
  times_.push_back(end);
}

void Waveform::reserve(std::size_t steps) {
  times_.reserve(steps * nodes_per_step());
  for (std::vector<double>& values : values_) values.reserve(steps * nodes_per_step());
}

void Waveform::clear() {
  times_.clear();
  for (std::vector<double>& values : values_) values.clear();
}

std::size_t Waveform::channel(std::string_view name) const {
  for (std::size_t c = 0; c < channels_.size(); ++c) {
    if (channels_[c].name == name) return c;
  }
  refuse("the waveform has no channel '" + std::string(name) + "'; its channels are: " + listed(channels_));
}

double Waveform::begin() const {
  require(!empty(), "the waveform is empty");
  return times_.front();
}

double Waveform::end() const {
  require(!empty(), "the waveform is empty");
  return times_.back();
}

std::span<const double> Waveform::nodes(std::size_t channel, std::size_t step) const {
  return values(channel).subspan(step * nodes_per_step(), nodes_per_step());
}

void Waveform::require_within(double t) const {
  if (t >= begin() && t <= end()) return;
  refuse("time " + number(t) + " s is outside the waveform, which covers " + number(begin()) + " s to " +
         number(end()) + " s");
}

std::size_t Waveform::step_at(double t) const {
  require_within(t);
  std::size_t low = 0;
  std::size_t high = steps();
  while (high - low > 1) {
    const std::size_t middle = low + (high - low) / 2;
    (step_begin(middle) <= t ? low : high) = middle;
  }
  return low;
}

double Waveform::value(std::size_t channel, double t) const {
  const std::size_t step = step_at(t);
  return polynomial(channel, step)(local_variable(t, step_begin(step), step_end(step)));
}

double Waveform::derivative(std::size_t channel, double t) const {
  const std::size_t step = step_at(t);
  const double begin = step_begin(step);
  const double end = step_end(step);
  return polynomial(channel, step).derivative()(local_variable(t, begin, end)) * 2.0 / (end - begin);
}

std::vector<double> Waveform::resample(std::size_t channel, std::span<const double> times) const {
  std::vector<double> values(times.size());
  resample(channel, times, values);
  return values;
}

void Waveform::resample(std::size_t channel, std::span<const double> times, std::span<double> values) const {
  require(values.size() == times.size(), "resampling needs room for one value at each time");
  double begin = 0.0;
  double end = 0.0;  // an empty interval, so that the first time looks up its step
  Polynomial polynomial_here;
  for (std::size_t i = 0; i < times.size(); ++i) {
    const bool within = times[i] >= begin && times[i] < end;
    if (!within) {
      const std::size_t step = step_at(times[i]);
      begin = step_begin(step);
      end = step_end(step);
      polynomial_here = polynomial(channel, step);
    }
    values[i] = polynomial_here(local_variable(times[i], begin, end));
  }
}

}  // namespace gateswing::waveform
