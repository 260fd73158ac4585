// Time per design of a spread of cells over five switching periods: the scalar solver, and each kernel of lanes this
// machine has, on one thread and on all. Everything runs in turn in one process, so that the ratios outlive a change of
// the machine's load. Exit code 0 only if every lane ends where the scalar solver does, within ten times the tolerance,
// and balances its energy; times are printed, never judged.
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <memory>
#include <random>
#include <thread>
#include <vector>

#include "demonstration_cell.h"
#include "gateswing/study/lane_runs.h"
#include "gateswing/study/low_side_run.h"

namespace {

using namespace gateswing;

constexpr double period = 20e-6;  // [s]
constexpr double duty = 0.6;
constexpr int periods = 5;

/// The demonstration's cell with eight of its values spread by a quarter either way.
std::vector<network::LowSideCell> designs(std::size_t count) {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> factor(0.8, 1.25);
  std::vector<network::LowSideCell> cells(count, bench::demonstration_cell());
  for (network::LowSideCell& cell : cells) {
    for (double* value : {&cell.supply.voltage, &cell.gate.turn_on_resistance, &cell.wiring.loop_inductance,
                          &cell.mosfet.channel.threshold_voltage, &cell.mosfet.gate_drain.zero_bias,
                          &cell.mosfet.source_inductance, &cell.load.resistance, &cell.driver.timing.rise_time}) {
      *value *= factor(random);
    }
  }
  return cells;
}

class Batch {
 public:
  explicit Batch(const std::vector<network::LowSideCell>& cells) {
    std::vector<network::Pulse> pulses;
    for (int k = 0; k < periods; ++k) pulses.push_back({k * period, (k + duty) * period});
    for (const network::LowSideCell& cell : cells) {
      cells_.push_back(std::make_unique<study::LowSideRun>(cell, 6.0));
      cells_.back()->set_command(network::gate_command(pulses, cell.driver.timing));
      right_ = cells_.back()->simulator().start(0.0) && right_;
      runs_.push_back({&cells_.back()->simulator(), periods * period, nullptr, {}});
    }
  }

  void run(double tolerance, std::size_t threads, const lanes::Kernel* kernel) {
    const auto begin = std::chrono::steady_clock::now();
    const std::clock_t cpu_begin = std::clock();
    use_ = study::advance_all(runs_, {.relative_tolerance = tolerance}, threads, kernel);
    cpu_seconds_ = static_cast<double>(std::clock() - cpu_begin) / CLOCKS_PER_SEC;
    seconds_ = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  }

  [[nodiscard]] double cpu_seconds() const { return cpu_seconds_; }
  [[nodiscard]] double seconds() const { return seconds_; }

  /// Prints a row; whether every answer is right.
  bool report(const char* name, const Batch& scalar, double tolerance) const {
    long attempts = 0;
    double worst = 0.0;
    bool right = right_;
    for (std::size_t k = 0; k < runs_.size(); ++k) {
      const study::Interval& interval = runs_[k].interval;
      const Eigen::VectorXd& expected = scalar.runs_[k].interval.end_state;
      attempts += interval.statistics.steps + interval.statistics.rejections;
      worst =
          std::max(worst, ((interval.end_state - expected).array().abs() / (1.0 + expected.array().abs())).maxCoeff());
      right = right && interval.status == integrate::Status::success &&
              runs_[k].simulator->ledger(interval).energy_residual < tolerance;
    }
    right = right && worst < 10.0 * tolerance;
    const auto count = static_cast<double>(runs_.size());
    std::printf("  %-21s %9.3f %9.3f %9.0f %9.2f %9.3f %9.1e%s\n", name, 1e3 * cpu_seconds_ / count,
                1e3 * seconds_ / count, 1e9 * cpu_seconds_ / static_cast<double>(attempts),
                scalar.cpu_seconds_ / cpu_seconds_, use_.occupancy(), worst, right ? "" : "  WRONG");
    return right;
  }

 private:
  std::vector<std::unique_ptr<study::LowSideRun>> cells_;
  std::vector<study::LaneRun> runs_;
  study::LaneUse use_;
  double cpu_seconds_ = 0.0, seconds_ = 0.0;
  bool right_ = true;
};

bool compare(const std::vector<network::LowSideCell>& cells, double tolerance) {
  Batch scalar(cells);
  scalar.run(tolerance, 1, nullptr);
  std::printf("%zu designs, %d periods, tolerance %.0e\n", cells.size(), periods, tolerance);
  std::printf("  %-21s %9s %9s %9s %9s %9s %9s\n", "", "CPU ms", "ms", "ns/step", "ratio", "occupied", "apart");
  bool right = scalar.report("scalar", scalar, tolerance);
  const std::size_t all = std::max(1U, std::thread::hardware_concurrency());
  for (const lanes::Kernel& kernel : lanes::kernels()) {
    for (const std::size_t threads : {std::size_t{1}, all}) {
      Batch batch(cells);
      batch.run(tolerance, threads, &kernel);
      char name[64];
      std::snprintf(name, sizeof name, "%s, %zu thread%s", kernel.instructions, threads, threads > 1 ? "s" : "");
      right = batch.report(name, scalar, tolerance) && right;
      if (all == 1) break;
    }
  }
  return right;
}

}  // namespace

int main() {
  if (lanes::kernels().empty()) std::printf("no lanes on this machine: neither AVX-512 nor AVX2\n");
  bool right = true;
  for (const double tolerance : {1e-3, 1e-4, 1e-6}) right = compare(designs(128), tolerance) && right;
  return right ? 0 : 1;
}
