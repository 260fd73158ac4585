// CPU time per operating point of a sweep of frequency, duty and gate resistance: every run by the scalar solver, and
// on the lanes of each kernel this machine has, on one thread and on all. Everything runs in turn in one process, so
// that the ratios outlive a change of the machine's load. Exit code 0 only if every point is done and its figures are
// those of the scalar solver within a thousand times the tolerance; times are printed, never judged. An argument
// "full" takes 60 x 19 x 8 points in the place of 8 x 3 x 5.
#include <algorithm>
#include <chrono>
#include <cmath>
#include <span>
#include <string_view>
#include <thread>
#include <vector>

#include "gateswing/study/figures.h"
#include "gateswing/study/sweep.h"
#include "shared/demonstration_cell.h"
#include "shared/json_line.h"
#include "shared/timing.h"

namespace {

using namespace gateswing;

/// `count` values from `first` to `last` in equal ratios.
std::vector<double> spread(double first, double last, int count) {
  std::vector<double> values;
  for (int k = 0; k < count; ++k)
    values.push_back(first * std::pow(last / first, static_cast<double>(k) / (count - 1)));
  return values;
}

std::vector<study::SweepPoint> grid(bool full) {
  std::vector<network::LowSideCell> cells;
  for (const double resistance : spread(4.7, 47.0, full ? 8 : 5)) {
    cells.push_back(bench::demonstration_cell());
    cells.back().gate.turn_on_resistance = resistance;
  }
  return study::all_combinations(cells, spread(20e3, 200e3, full ? 60 : 8), spread(0.1, 0.9, full ? 19 : 3));
}

struct Timed {
  study::SweepResult result;
  double cpu_seconds = 0.0, seconds = 0.0;
};

Timed run(const std::vector<study::SweepPoint>& points, std::size_t threads, std::span<const lanes::Kernel> kernels) {
  const auto begin = std::chrono::steady_clock::now();
  const double cpu_begin = bench::cpu_seconds();
  Timed timed{.result = study::sweep(points, {}, threads, [](const auto&, const auto&) { return true; }, kernels)};
  timed.cpu_seconds = bench::cpu_seconds() - cpu_begin;
  timed.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  return timed;
}

/// Of figures that every point has, in units of their own size; those of the residuals and of rings are noise. NaN
/// where one is missing.
double apart(const study::SweepResult& one, const study::SweepResult& other) {
  const std::size_t width = study::operating_point_figures().size();
  double worst = 0.0;
  for (std::size_t k = 0; k < one.figures.size(); ++k) {
    const std::string_view name = study::operating_point_figures()[k % width].name;
    if (name != "efficiency" && name != "total_loss" && name != "overshoot" && name != "mean_load_current") continue;
    const double distance = std::abs(one.figures[k] / other.figures[k] - 1.0);
    if (!std::isfinite(distance)) return NAN;
    worst = std::max(worst, distance);
  }
  return worst;
}

bool report(std::string_view kernel, std::size_t threads, const Timed& timed, const Timed& scalar) {
  const auto count = static_cast<double>(timed.result.status.size());
  const auto done = std::ranges::count(timed.result.status, study::PointStatus::done);
  const double distance = apart(timed.result, scalar.result);
  bench::JsonLine("operating points")
      .add("kernel", kernel)
      .add("threads", static_cast<double>(threads))
      .add("points", count)
      .add("cpu_seconds_per_point", timed.cpu_seconds / count)
      .add("wall_seconds_per_point", timed.seconds / count)
      .add("ratio", scalar.cpu_seconds / timed.cpu_seconds)
      .add("occupancy", timed.result.lane_use.occupancy())
      .add("apart", distance);
  return static_cast<double>(done) == count && distance < 1e3 * simulate::Settings{}.relative_tolerance;
}

}  // namespace

int main(int count, char** arguments) {
  const std::vector<study::SweepPoint> points = grid(count > 1 && std::string_view(arguments[1]) == "full");
  const Timed scalar = run(points, 1, {});
  bool right = report("scalar", 1, scalar, scalar);
  const std::size_t all = std::max(1U, std::thread::hardware_concurrency());
  for (const lanes::Kernel& kernel : lanes::kernels()) {
    for (const std::size_t threads : {std::size_t{1}, all}) {
      right = report(kernel.instructions, threads, run(points, threads, {&kernel, 1}), scalar) && right;
      if (all == 1) break;
    }
  }
  return right ? 0 : 1;
}
