#include "gateswing/study/lane_runs.h"

#include <algorithm>
#include <atomic>
#include <exception>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <thread>

#include "gateswing/integrate/dense_output.h"
#include "gateswing/integrate/settings.h"
#include "gateswing/lanes/make_plan.h"
#include "gateswing/lanes/pack_memory.h"

namespace gateswing::study {
namespace {

using integrate::Status;

constexpr int attempts_between_looks = 256;  // at the flag that cancels

constexpr unsigned bit(int lane) {
  return 1U << static_cast<unsigned>(lane);
}

/// One run on its lane, from segment to segment of its inputs.
class Passenger {
 public:
  Passenger(LaneRun& run, lanes::PackMemory& memory, int lane) : run_(run), memory_(memory), lane_(lane) {
    Simulator& simulator = *run.simulator;
    stops_ = network::corner_times(simulator.network().inputs, simulator.time(), run.end);
    stops_.push_back(run.end);
    run.interval = {Status::success,
                    simulator.time(),
                    simulator.time(),
                    simulator.state(),
                    simulator.state(),
                    Eigen::VectorXd(),
                    {}};
    memory.load(lane, simulator.network(), simulator.state());
    enter_segment(simulator.time());
  }

  [[nodiscard]] bool records() const { return run_.recorder != nullptr; }

  /// Adds the lane's last step to the record.
  void record(const lanes::Plan& plan) const {
    const lanes::Layout& layout = plan.layout;
    const auto column = [&](int offset) { return memory_.column(offset, plan.states, lane_); };
    const integrate::DenseStep<Eigen::VectorXd> step{
        segment_begin_ + memory_.control(lane_, lanes::step_begin),
        time(),
        column(layout.dense_start),
        column(layout.dense_end),
        {column(layout.dense_shape), column(layout.dense_shape + plan.states),
         column(layout.dense_shape + 2 * plan.states)}};
    run_.recorder->record(step);
  }

  /// At the end of a segment; false if it was the last.
  bool go_on() {
    count_work();
    const double reached = stops_[next_stop_];
    if (++next_stop_ == stops_.size()) {
      leave(Status::success, reached);
      return false;
    }
    enter_segment(reached);
    return true;
  }

  void stop(Status status) {
    count_work();
    leave(status, time());
  }

  /// The scalar solver takes over from the last accepted state.
  void finish_scalar(const Settings& settings) {
    stop(Status::success);
    append(run_.interval, run_.simulator->advance(run_.end, settings, run_.recorder));
  }

  [[nodiscard]] bool used_up(const Settings& settings) const {
    return memory_.control(lane_, lanes::steps) + memory_.control(lane_, lanes::rejections) >=
           static_cast<double>(settings.maximum_steps);
  }

 private:
  void enter_segment(double begin) {
    const auto& inputs = run_.simulator->network().inputs;
    segment_begin_ = begin;
    memory_.enter_segment(lane_, inputs, begin, stops_[next_stop_]);
    if (run_.recorder != nullptr) run_.recorder->enter_segment(inputs, begin);
  }

  /// The end of a segment is hit exactly, as seen from its begin.
  [[nodiscard]] double time() const {
    const double elapsed = memory_.control(lane_, lanes::elapsed);
    return elapsed >= memory_.control(lane_, lanes::duration) ? stops_[next_stop_] : segment_begin_ + elapsed;
  }

  void count_work() {
    const auto counted = [&](lanes::Control which) { return static_cast<long>(memory_.control(lane_, which)); };
    const long attempts = counted(lanes::steps) + counted(lanes::rejections);
    integrate::Statistics& statistics = run_.interval.statistics;
    statistics.steps += counted(lanes::steps);
    statistics.rejections += counted(lanes::rejections);
    statistics.linearizations += attempts;
    statistics.factorisations += attempts + counted(lanes::first_steps);
  }

  void leave(Status status, double time) {
    run_.interval.status = status;
    run_.interval.end_time = time;
    run_.interval.end_state = memory_.state(lane_);
    run_.interval.integrals = memory_.integrals(lane_);
    run_.simulator->move_to(time, run_.interval.end_state);
  }

  LaneRun& run_;
  lanes::PackMemory& memory_;
  int lane_;
  std::vector<double> stops_;
  std::size_t next_stop_ = 0;
  double segment_begin_ = 0.0;
};

/// Runs of one structure, taken by the threads' packs in turn.
struct Group {
  std::optional<lanes::Plan> plan;
  std::vector<LaneRun*> runs;
  std::atomic<std::size_t> next = 0;

  LaneRun* take() {
    const std::size_t index = next++;
    return index < runs.size() ? runs[index] : nullptr;
  }
};

bool cancelled(const Settings& settings) {
  return settings.cancelled != nullptr && settings.cancelled->load(std::memory_order_relaxed);
}

void run_scalar(LaneRun& run, const Settings& settings) {
  run.interval = run.simulator->advance(run.end, settings, run.recorder);
}

/// One pack of one thread.
class Pack {
 public:
  Pack(Group& group, const lanes::Plan& plan, const lanes::Kernel& kernel, const Settings& settings)
      : group_(group),
        plan_(plan),
        kernel_(kernel),
        settings_(settings),
        memory_(plan, kernel.width),
        passengers_(static_cast<std::size_t>(kernel.width)) {
    for (int lane = 0; lane < kernel.width; ++lane) board(lane);
  }

  LaneUse run() {
    const lanes::Tolerance tolerance{settings_.relative_tolerance, settings_.relative_tolerance,
                                     static_cast<double>(settings_.maximum_steps)};
    while (running_ != 0) {
      const lanes::PackOutcome outcome =
          kernel_.advance(plan_, memory_.values(), tolerance, running_, recorded_, attempts_between_looks);
      use_.slots += static_cast<long>(outcome.attempts) * kernel_.width;
      use_.steps += outcome.lane_steps;
      const bool ends = cancelled(settings_);
      for (int lane = 0; lane < kernel_.width; ++lane) {
        if ((running_ & bit(lane)) != 0) look_after(lane, outcome, ends);
      }
    }
    return use_;
  }

 private:
  void look_after(int lane, const lanes::PackOutcome& outcome, bool ends) {
    const auto is_in = [&](unsigned lanes) { return (lanes & bit(lane)) != 0; };
    Passenger& passenger = *passengers_[static_cast<std::size_t>(lane)];
    if (is_in(outcome.accepted)) passenger.record(plan_);
    if (is_in(outcome.finished)) {
      if (!passenger.go_on()) board(lane);
    } else if (is_in(outcome.failed)) {
      give_up(passenger);
      board(lane);
    } else if (ends) {
      passenger.stop(Status::cancelled);
      board(lane);
    }
  }

  void give_up(Passenger& passenger) {
    if (passenger.used_up(settings_)) return passenger.stop(Status::step_limit);
    ++use_.scalar_runs;
    passenger.finish_scalar(settings_);
  }

  /// Gives the lane its next run, or leaves it idle.
  void board(int lane) {
    running_ &= ~bit(lane);
    recorded_ &= ~bit(lane);
    std::unique_ptr<Passenger>& passenger = passengers_[static_cast<std::size_t>(lane)];
    passenger.reset();
    LaneRun* run = group_.take();
    for (; run != nullptr && run->simulator->time() >= run->end; run = group_.take()) run_scalar(*run, settings_);
    if (run == nullptr) return;
    passenger = std::make_unique<Passenger>(*run, memory_, lane);
    running_ |= bit(lane);
    if (passenger->records()) recorded_ |= bit(lane);
  }

  Group& group_;
  const lanes::Plan& plan_;
  const lanes::Kernel& kernel_;
  const Settings& settings_;
  lanes::PackMemory memory_;
  std::vector<std::unique_ptr<Passenger>> passengers_;
  unsigned running_ = 0, recorded_ = 0;
  LaneUse use_;
};

LaneUse advance_group(Group& group, const Settings& settings, const lanes::Kernel* kernel) {
  if (kernel != nullptr && group.plan) return Pack(group, *group.plan, *kernel, settings).run();
  LaneUse use;
  for (LaneRun* run = group.take(); run != nullptr; run = group.take()) {
    run_scalar(*run, settings);
    ++use.scalar_runs;
  }
  return use;
}

}  // namespace

LaneUse& LaneUse::operator+=(const LaneUse& other) {
  slots += other.slots;
  steps += other.steps;
  scalar_runs += other.scalar_runs;
  return *this;
}

const lanes::Kernel* fastest_kernel() {
  return lanes::kernels().empty() ? nullptr : &lanes::kernels().front();
}

LaneUse advance_all(std::span<LaneRun> runs, const Settings& settings, std::size_t threads,
                    const lanes::Kernel* kernel) {
  integrate::validate({.relative_tolerance = settings.relative_tolerance,
                       .absolute_tolerance = settings.relative_tolerance,
                       .maximum_steps = settings.maximum_steps});
  std::map<std::vector<int>, Group> groups;
  for (LaneRun& run : runs) groups[lanes::structure(run.simulator->network())].runs.push_back(&run);
  for (auto& [structure, group] : groups) group.plan = lanes::make_plan(group.runs.front()->simulator->network());
  LaneUse total;
  std::exception_ptr failure;
  std::mutex mutex;
  const auto work = [&] {
    for (auto& [structure, group] : groups) {
      try {
        const LaneUse use = advance_group(group, settings, kernel);
        const std::scoped_lock lock(mutex);
        total += use;
      } catch (...) {
        const std::scoped_lock lock(mutex);
        failure = std::current_exception();
      }
    }
  };
  {
    std::vector<std::jthread> helpers;
    for (std::size_t t = 1; t < threads; ++t) helpers.emplace_back(work);
    work();
  }
  if (failure) std::rethrow_exception(failure);
  return total;
}

}  // namespace gateswing::study
