// CPU time, as the median over repetitions.
#pragma once

#include <algorithm>
#include <ctime>
#include <vector>

namespace gateswing::bench {

/// Of all threads of this process [s].
inline double cpu_seconds() {
  timespec now{};
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

inline double median(std::vector<double> values) {
  std::ranges::sort(values);
  const std::size_t middle = values.size() / 2;
  return values.size() % 2 == 1 ? values[middle] : 0.5 * (values[middle - 1] + values[middle]);
}

/// Median of the seconds that `run` says it took, over at least `least` runs and at most as many as fit into `enough`
/// seconds.
template <class Run>
double median_seconds(const Run& run, int least = 3, double enough = 0.05) {
  constexpr int most = 25;
  std::vector<double> seconds;
  double total = 0.0;
  while (static_cast<int>(seconds.size()) < least || (total < enough && static_cast<int>(seconds.size()) < most)) {
    seconds.push_back(run());
    total += seconds.back();
  }
  return median(seconds);
}

}  // namespace gateswing::bench
