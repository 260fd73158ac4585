// Studies that are computed side by side on one thread, so that their runs fill packs of lanes.
#pragma once

#include <deque>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <tuple>
#include <utility>
#include <vector>

#include "gateswing/simulate/fiber.h"
#include "gateswing/simulate/lane_pack.h"
#include "gateswing/simulate/run_carrier.h"

namespace gateswing::simulate {

/// Each study is a fiber: where it asks for a run it is left, and gone on with once a lane has carried the run to its
/// end. Between runs one study at a time is at work. A run's numbers are those of advance_all().
class SharedLanes final : public RunCarrier {
 public:
  explicit SharedLanes(const lanes::Kernel& kernel);
  ~SharedLanes() override;
  SharedLanes(const SharedLanes&) = delete;
  SharedLanes& operator=(const SharedLanes&) = delete;
  SharedLanes(SharedLanes&&) = delete;
  SharedLanes& operator=(SharedLanes&&) = delete;

  /// Calls `work` until it has returned false, `count` times side by side. Runs of a simulator whose settings name
  /// these lanes ride on them; there may be others. What `work` throws first comes out when all the others are through,
  /// and so does what a run throws, as for want of memory, where the study that asked for it lets it.
  void run(std::size_t count, const std::function<bool()>& work);

  /// Enough studies at once to fill the packs, also where their structures differ.
  [[nodiscard]] std::size_t enough() const { return 2 * static_cast<std::size_t>(kernel_.width); }

  [[nodiscard]] LaneUse use() const;

  /// From within run(); throws std::logic_error elsewhere.
  Interval advance(Simulator& simulator, double end, const Settings& settings, Recorder* recorder,
                   std::vector<double>* step_ends) override;
  Interval replay(Simulator& simulator, std::span<const double> step_ends, const Settings& settings) override;

 private:
  struct Request : LaneRun {
    Fiber* fiber = nullptr;
  };
  /// What the runs of a pack have in common: structure, tolerance, limit of steps, flag that cancels.
  using Key = std::tuple<std::vector<int>, double, long, const std::atomic<bool>*>;
  struct Group {
    explicit Group(std::optional<lanes::Plan> of) : plan(std::move(of)) {}
    std::optional<lanes::Plan> plan;
    std::unique_ptr<LanePack> pack;  ///< null without a plan
    std::deque<Request*> waiting;
    long passed_over = 0;  ///< turns since its last one
  };

  static bool board(LanePack& pack, Request& request);
  Interval carry(Request& request, Settings settings);
  Group& group_of(const network::CompiledNetwork& network, const Settings& settings);
  Group* next_group();

  const lanes::Kernel& kernel_;
  std::map<Key, std::unique_ptr<Group>> groups_;
  long scalar_runs_ = 0;
};

/// work(settings that name lanes), one study alone.
template <class Work>
auto on_lanes(const lanes::Kernel& kernel, const Settings& settings, const Work& work) {
  SharedLanes lanes(kernel);
  Settings on = settings;
  on.lanes = &lanes;
  std::optional<decltype(work(on))> answer;
  lanes.run(1, [&] {
    answer = work(on);
    return false;
  });
  return *std::move(answer);  // NOLINT(bugprone-unchecked-optional-access): where work threw, run() did
}

}  // namespace gateswing::simulate
