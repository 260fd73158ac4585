#include "gateswing/simulate/lane_runs.h"

#include <algorithm>
#include <atomic>
#include <mutex>
#include <thread>

#include "gateswing/simulate/shared_lanes.h"

namespace gateswing::simulate {
namespace {

/// Takes the runs of all threads in turn, each as a study of its own.
class Turns {
 public:
  explicit Turns(std::span<LaneRun> runs) : runs_(runs) {}

  LaneUse scalar(const Settings& settings) {
    LaneUse use;
    while (take(settings)) ++use.scalar_runs;
    return use;
  }

  LaneUse on_lanes(Settings settings, const lanes::Kernel& kernel) {
    SharedLanes lanes(kernel);
    settings.lanes = &lanes;
    lanes.run(std::min(runs_.size(), lanes.enough()), [&] { return take(settings); });
    return lanes.use();
  }

 private:
  bool take(const Settings& settings) {
    const std::size_t index = next_++;
    if (index >= runs_.size()) return false;
    LaneRun& run = runs_[index];
    run.interval = run.given_ends.empty() ? run.simulator->advance(run.end, settings, run.recorder, run.step_ends)
                                          : run.simulator->replay(run.given_ends, settings);
    return true;
  }

  std::span<LaneRun> runs_;
  std::atomic<std::size_t> next_ = 0;
};

}  // namespace

LaneUse advance_all(std::span<LaneRun> runs, const Settings& settings, std::size_t threads,
                    const lanes::Kernel* kernel) {
  Turns turns(runs);
  LaneUse total;
  std::exception_ptr failure;
  std::mutex mutex;
  const auto work = [&] {
    try {
      const LaneUse use = kernel != nullptr ? turns.on_lanes(settings, *kernel) : turns.scalar(settings);
      const std::scoped_lock lock(mutex);
      total += use;
    } catch (...) {
      const std::scoped_lock lock(mutex);
      failure = std::current_exception();
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

}  // namespace gateswing::simulate
