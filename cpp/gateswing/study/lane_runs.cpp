#include "gateswing/study/lane_runs.h"

#include <atomic>
#include <map>
#include <mutex>
#include <optional>
#include <thread>

#include "gateswing/lanes/make_plan.h"

namespace gateswing::study {
namespace {

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

void run_scalar(LaneRun& run, const Settings& settings) {
  run.interval = run.given_ends.empty() ? run.simulator->advance(run.end, settings, run.recorder, run.step_ends)
                                        : run.simulator->replay(run.given_ends, settings);
}

LaneUse ride(Group& group, const lanes::Plan& plan, const Settings& settings, const lanes::Kernel& kernel) {
  LanePack pack(plan, kernel, settings);
  while (true) {
    while (!pack.full()) {
      LaneRun* const run = group.take();
      if (run == nullptr) break;
      if (run->simulator->time() < run->end) {
        pack.board(*run);
      } else {
        run_scalar(*run, settings);
      }
    }
    if (pack.count() == 0) return pack.use();
    for (const LaneRun* run : pack.advance()) {
      if (run->failure) std::rethrow_exception(run->failure);
    }
  }
}

LaneUse advance_group(Group& group, const Settings& settings, const lanes::Kernel* kernel) {
  if (kernel != nullptr && group.plan) return ride(group, *group.plan, settings, *kernel);
  LaneUse use;
  for (LaneRun* run = group.take(); run != nullptr; run = group.take()) {
    run_scalar(*run, settings);
    ++use.scalar_runs;
  }
  return use;
}

}  // namespace

LaneUse advance_all(std::span<LaneRun> runs, const Settings& settings, std::size_t threads,
                    const lanes::Kernel* kernel) {
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
