// Corner points of piecewise-linear waveforms, as textbooks draw them.
#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include "waveform/record.h"

namespace gateswing_test {

// Straight lines through (time, value) corners, held level outside them.
struct Corners {
  std::vector<double> times;
  std::vector<double> values;

  double operator()(double t) const {
    if (t <= times.front()) return values.front();
    if (t >= times.back()) return values.back();
    const auto next = static_cast<std::size_t>(std::upper_bound(times.begin(), times.end(), t) - times.begin());
    const double fraction = (t - times[next - 1]) / (times[next] - times[next - 1]);
    return values[next - 1] + fraction * (values[next] - values[next - 1]);
  }
};

inline Signal corners(const std::string& name, const std::string& unit, Corners shape) {
  return {{name, unit}, std::move(shape)};
}

}  // namespace gateswing_test
