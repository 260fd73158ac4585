// Time per step over the number of states, scalar and in lanes, and time per design over the size of a sweep.
//
// A sweep here is everything from the description of a cell on: the network is compiled, its start found, the run made
// in lanes on one thread. It goes in batches, as sweeps do, so that memory does not grow with it.
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <memory>
#include <random>
#include <string>

#include "gateswing/simulate/lane_runs.h"
#include "shared/cells.h"
#include "shared/json_line.h"
#include "shared/timing.h"

namespace {

using namespace gateswing;
using namespace gateswing::bench;

constexpr simulate::Settings settings{.relative_tolerance = 1e-4};

struct Batch {
  std::vector<std::unique_ptr<simulate::Simulator>> simulators;
  std::vector<simulate::LaneRun> runs;
  bool right = true;

  void add(network::CompiledNetwork network, double end) {
    simulators.push_back(std::make_unique<simulate::Simulator>(std::move(network)));
    right = simulators.back()->start(0.0) && right;
    runs.push_back({simulators.back().get(), end, nullptr, {}});
  }

  long run(const lanes::Kernel* kernel) {
    simulate::advance_all(runs, settings, 1, kernel);
    long attempts = 0;
    for (const simulate::LaneRun& one : runs) {
      right = right && one.interval.status == integrate::Status::success;
      attempts += one.interval.statistics.steps + one.interval.statistics.rejections;
    }
    return attempts;
  }
};

/// All runs alike, so that only the number of states matters.
bool time_states(int branches, const lanes::Kernel* kernel) {
  constexpr std::size_t count = 64;
  constexpr double end = 2e-6;  // [s]
  bool right = true;
  const network::CompiledNetwork network = with_branches(branches);
  const double seconds = median_seconds([&] {
    Batch batch;
    for (std::size_t k = 0; k < (kernel == nullptr ? 1 : count); ++k) batch.add(network, end);
    const double begin = cpu_seconds();
    const long attempts = batch.run(kernel);
    right = right && batch.right;
    return (cpu_seconds() - begin) / static_cast<double>(attempts);
  });
  JsonLine("states")
      .add("kernel", kernel == nullptr ? "scalar" : kernel->instructions)
      .add("states", network.size())
      .add("seconds_per_attempt", seconds);
  return right;
}

/// Of this process so far [B]; what getrusage says would include the process that started it.
double peak_memory() {
  std::ifstream status("/proc/self/status");
  for (std::string line; std::getline(status, line);) {
    if (line.starts_with("VmHWM:")) return 1024.0 * std::strtod(line.c_str() + 6, nullptr);
  }
  return NAN;
}

bool time_sweep(std::size_t designs) {
  constexpr std::size_t batch_size = 500;
  const Cell& cell = cells().front();
  std::mt19937 random(3);
  std::uniform_real_distribution<double> factor(0.8, 1.25);
  bool right = true;
  const double begin = cpu_seconds();
  for (std::size_t done = 0; done < designs; done += batch_size) {
    Batch batch;
    for (std::size_t k = done; k < std::min(designs, done + batch_size); ++k)
      batch.add(cell.network([&](double& value) { value *= factor(random); }), cell.end);
    batch.run(lanes::kernel_for(lanes::kernels(), batch_size));
    right = right && batch.right;
  }
  const double seconds = cpu_seconds() - begin;
  JsonLine("sweep size")
      .add("designs", static_cast<double>(designs))
      .add("seconds_per_design", seconds / static_cast<double>(designs))
      .add("peak_memory", peak_memory());
  return right;
}

}  // namespace

int main() {
  bool right = true;
  for (const std::size_t designs : {100, 1000, 10'000, 100'000}) right = time_sweep(designs) && right;
  for (const int branches : {0, 4, 8, 12, 16, 20}) {
    right = time_states(branches, nullptr) && right;
    for (const lanes::Kernel& kernel : lanes::kernels()) right = time_states(branches, &kernel) && right;
  }
  return right ? 0 : 1;
}
