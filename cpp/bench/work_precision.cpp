// Error against CPU time of this library, scalar and in lanes, and of solvers from elsewhere, on the same equations.
//
// The error is the largest |difference| / (1 V or 1 A + |x|) of any state at the checkpoints of a cell, to a run of the
// scalar solver at a tolerance of 1e-11, each solver's own dense output between its steps included. Times are of runs
// that keep nothing. Lanes carry a spread of designs, whose time is divided by their number; their error is that of the
// cell itself. Exit code 0 only if this library's errors stay within thirty times the tolerance asked for, and some
// solver from elsewhere comes within 1e-5 of the reference; times are printed, never judged.
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <memory>
#include <thread>

#include "gateswing/simulate/lane_runs.h"
#include "gateswing/simulate/recorder.h"
#include "shared/cells.h"
#include "shared/json_line.h"
#include "shared/outside.h"
#include "shared/timing.h"

namespace {

using namespace gateswing;
using namespace gateswing::bench;
using States = std::vector<Eigen::VectorXd>;  // at the checkpoints

/// Every state as it is.
std::vector<network::Probe> state_probes(const network::CompiledNetwork& network) {
  std::vector<network::Probe> probes;
  for (int k = 0; k < network.size(); ++k) {
    network::CurrentForm form;
    form.linear = {Eigen::RowVectorXd::Unit(network.size(), k), Eigen::RowVectorXd::Zero(network.input_matrix.cols())};
    probes.push_back({std::to_string(k), "", form});
  }
  return probes;
}

States read(const waveform::Waveform& waveform, const std::vector<double>& times) {
  States states(times.size(), Eigen::VectorXd(static_cast<Eigen::Index>(waveform.channels().size())));
  for (std::size_t c = 0; c < waveform.channels().size(); ++c) {
    for (std::size_t k = 0; k < times.size(); ++k)
      states[k][static_cast<Eigen::Index>(c)] = waveform.value(c, times[k]);
  }
  return states;
}

double error_of(const States& states, const States& reference) {
  double error = 0.0;
  for (std::size_t k = 0; k < reference.size(); ++k) {
    if (k >= states.size() || !states[k].allFinite()) return NAN;
    const auto size = 1.0 + reference[k].array().abs();
    error = std::max(error, ((states[k] - reference[k]).array().abs() / size).maxCoeff());
  }
  return error;
}

/// One cell with what all its runs share.
struct Task {
  const Cell& cell;
  network::CompiledNetwork network;
  std::vector<double> stops, checkpoints;
  Eigen::VectorXd start;
  States reference;
};

void write(const Task& task, const char* family, const std::string& solver, double tolerance, double error, Work work,
           double seconds) {
  JsonLine("work precision")
      .add("cell", task.cell.name)
      .add("family", family)
      .add("solver", solver)
      .add("tolerance", tolerance)
      .add("error", error)
      .add("steps", static_cast<double>(work.steps))
      .add("rejections", static_cast<double>(work.rejections))
      .add("seconds", seconds);
}

struct Recorded {
  States states;
  simulate::Interval interval;
};

/// On lanes where a kernel is given.
Recorded recorded(const Task& task, double tolerance, const lanes::Kernel* kernel) {
  simulate::Simulator simulator(task.network);
  simulator.start(0.0);
  simulate::Recorder recorder(simulator.network(), state_probes(simulator.network()));
  std::vector<simulate::LaneRun> runs{{&simulator, task.cell.end, &recorder, {}}};
  simulate::advance_all(runs, {.relative_tolerance = tolerance}, 1, kernel);
  if (runs.front().interval.status != integrate::Status::success) return {{}, runs.front().interval};
  return {read(recorder.waveform(), task.checkpoints), runs.front().interval};
}

bool within(double error, double tolerance) {
  constexpr double factor = 30.0;
  return error < factor * tolerance;
}

bool scalar_curve(const Task& task, const std::vector<double>& tolerances) {
  bool right = true;
  simulate::Simulator simulator(task.network);
  for (const double tolerance : tolerances) {
    const Recorded run = recorded(task, tolerance, nullptr);
    const double error = error_of(run.states, task.reference);
    const double seconds = median_seconds([&] {
      simulator.move_to(0.0, task.start);
      const double begin = cpu_seconds();
      simulator.advance(task.cell.end, {.relative_tolerance = tolerance}, nullptr);
      return cpu_seconds() - begin;
    });
    const integrate::Statistics& statistics = run.interval.statistics;
    write(task, "gateswing", "scalar", tolerance, error, {statistics.steps, statistics.rejections}, seconds);
    right = within(error, tolerance) && right;
  }
  return right;
}

/// Designs of one cell in lanes.
class Designs {
 public:
  Designs(const Task& task, std::size_t count) : end_(task.cell.end) {
    for (network::CompiledNetwork& network : spread(task.cell, count)) {
      simulators_.push_back(std::make_unique<simulate::Simulator>(std::move(network)));
      simulators_.back()->start(0.0);
      starts_.push_back(simulators_.back()->state());
    }
  }

  /// CPU time of all threads for all designs [s].
  double run(double tolerance, std::size_t threads, const lanes::Kernel& kernel) {
    runs_.clear();
    for (std::size_t k = 0; k < simulators_.size(); ++k) {
      simulators_[k]->move_to(0.0, starts_[k]);
      runs_.push_back({simulators_[k].get(), end_, nullptr, {}});
    }
    const double begin = cpu_seconds();
    const auto wall_begin = std::chrono::steady_clock::now();
    use_ = simulate::advance_all(runs_, {.relative_tolerance = tolerance}, threads, &kernel);
    wall_.push_back(std::chrono::duration<double>(std::chrono::steady_clock::now() - wall_begin).count());
    return cpu_seconds() - begin;
  }

  [[nodiscard]] double count() const { return static_cast<double>(runs_.size()); }
  [[nodiscard]] const simulate::LaneUse& use() const { return use_; }
  /// The shortest of the runs since the last call [s].
  double wall_seconds() {
    const double shortest = *std::ranges::min_element(wall_);
    wall_.clear();
    return shortest;
  }
  /// Attempts per design.
  [[nodiscard]] double attempts() const {
    double sum = 0.0;
    for (const simulate::LaneRun& run : runs_)
      sum += static_cast<double>(run.interval.statistics.steps + run.interval.statistics.rejections);
    return sum / count();
  }

 private:
  double end_;
  std::vector<std::unique_ptr<simulate::Simulator>> simulators_;
  std::vector<Eigen::VectorXd> starts_;
  std::vector<simulate::LaneRun> runs_;
  std::vector<double> wall_;
  simulate::LaneUse use_;
};

bool lane_curves(const Task& task) {
  constexpr std::size_t count = 128;
  bool right = true;
  Designs designs(task, count);
  const std::size_t all = std::max(1U, std::thread::hardware_concurrency());
  for (const lanes::Kernel& kernel : lanes::kernels()) {
    for (const double tolerance : {1e-2, 1e-3, 1e-4, 1e-5, 1e-6, 1e-7}) {
      const Recorded run = recorded(task, tolerance, &kernel);
      const double error = error_of(run.states, task.reference);
      right = within(error, tolerance) && right;
      for (std::size_t threads = 1; threads <= std::min<std::size_t>(all, 2); ++threads) {
        const double seconds =
            median_seconds([&] { return designs.run(tolerance, threads, kernel); }) / designs.count();
        const std::string name = std::string(kernel.instructions).append(threads > 1 ? ", two threads" : "");
        const integrate::Statistics& statistics = run.interval.statistics;
        write(task, "lanes", name, tolerance, error, {statistics.steps, statistics.rejections}, seconds);
        JsonLine("lanes")
            .add("cell", task.cell.name)
            .add("kernel", kernel.instructions)
            .add("tolerance", tolerance)
            .add("threads", static_cast<double>(threads))
            .add("occupancy", designs.use().occupancy())
            .add("scalar_runs", static_cast<double>(designs.use().scalar_runs))
            .add("attempts", designs.attempts())
            .add("cpu_seconds", seconds)
            .add("wall_seconds", designs.wall_seconds() / designs.count());
      }
    }
  }
  return right;
}

struct OutsideRun {
  States states;
  Work work;
  double seconds = 0.0;
};

/// Asked for all checkpoints, or, for the time, for the first of each stretch alone, by which some choose their first
/// step. No states where the solver gives up.
OutsideRun run_outside(const Task& task, const Setting& setting, double tolerance, bool keeps) {
  OutsideRun result;
  Equations equations(task.network);
  const auto solver = setting.make(equations, task.start, tolerance);
  const double before = cpu_seconds();
  double begin = 0.0;
  auto time = task.checkpoints.begin();
  for (const double stop : task.stops) {
    solver->enter(begin, stop);
    for (bool asked = true; time != task.checkpoints.end() && *time <= stop; ++time) {
      if (asked && !solver->reach(*time)) return {};
      if (keeps) result.states.push_back(solver->state());
      asked = keeps || *std::next(time) == stop;
    }
    begin = stop;
  }
  result.seconds = cpu_seconds() - before;
  result.work = solver->work();
  return result;
}

/// Down to an accuracy, or up to a time, that no curve needs to go beyond; the last error.
double outside_curve(const Task& task, const Setting& setting, const std::vector<double>& tolerances) {
  constexpr double accurate = 1e-6, longest = 0.1;  // [s]
  double error = INFINITY;
  for (const double tolerance : tolerances) {
    const OutsideRun kept = run_outside(task, setting, tolerance, true);
    const double reached = error_of(kept.states, task.reference);
    if (!std::isfinite(reached)) continue;
    const double seconds = median_seconds([&] { return run_outside(task, setting, tolerance, false).seconds; });
    write(task, setting.family.c_str(), setting.name, tolerance, reached, kept.work, seconds);
    error = reached;
    if (error < accurate || seconds > longest) break;
  }
  return error;
}

/// For the solvers in Python.
void write_reference(const Task& task) {
  std::vector<double> states;
  for (const Eigen::VectorXd& state : task.reference) states.insert(states.end(), state.begin(), state.end());
  JsonLine("reference")
      .add("cell", task.cell.name)
      .add("start", std::vector<double>(task.start.begin(), task.start.end()))
      .add("stops", task.stops)
      .add("checkpoints", task.checkpoints)
      .add("states", states);
}

Task task_of(const Cell& cell) {
  constexpr double reference_tolerance = 1e-11;
  Task task{cell, nominal(cell), {}, {}, {}, {}};
  task.stops = stops(cell, task.network);
  task.checkpoints = checkpoints(cell, task.network);
  simulate::Simulator simulator(task.network);
  if (!simulator.start(0.0)) std::fprintf(stderr, "%s: no consistent start\n", cell.name.c_str());
  task.start = simulator.state();
  task.reference = recorded(task, reference_tolerance, nullptr).states;
  return task;
}

/// At the checkpoints, from differences: a Jacobian that is wrong would make the others slow.
double largest_jacobian_deviation(const Task& task) {
  Equations equations(task.network);
  double worst = 0.0, begin = 0.0;
  std::size_t k = 0;
  for (const double stop : task.stops) {
    equations.enter_segment(begin);
    for (; k < task.checkpoints.size() && task.checkpoints[k] <= stop; ++k)
      worst = std::max(worst, jacobian_deviation(equations, task.checkpoints[k], task.reference[k]));
    begin = stop;
  }
  return worst;
}

/// Powers of ten and what lies halfway.
std::vector<double> tolerances(int from, int to) {
  std::vector<double> list;
  for (int half = 2 * from; half <= 2 * to; ++half) list.push_back(std::pow(10.0, -0.5 * half));
  return list;
}

bool compare(const Cell& cell) {
  constexpr double jacobian_tolerance = 1e-5, agreement = 1e-5;
  const Task task = task_of(cell);
  bool right = !task.reference.empty() && largest_jacobian_deviation(task) < jacobian_tolerance;
  write_reference(task);
  right = scalar_curve(task, tolerances(2, 7)) && right;
  right = lane_curves(task) && right;
  std::vector<Setting> settings = sundials_settings();
  for (const Setting& setting : odeint_settings()) settings.push_back(setting);
  double nearest = INFINITY;
  for (const Setting& setting : settings)
    nearest = std::min(nearest, outside_curve(task, setting, tolerances(2, setting.family == "Odeint" ? 7 : 9)));
  return right && nearest < agreement;
}

}  // namespace

int main() {
  bool right = true;
  for (const Cell& cell : cells()) {
    const bool cell_right = compare(cell);
    if (!cell_right) std::fprintf(stderr, "%s: WRONG\n", cell.name.c_str());
    right = cell_right && right;
  }
  return right ? 0 : 1;
}
