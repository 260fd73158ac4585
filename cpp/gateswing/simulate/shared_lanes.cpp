#include "gateswing/simulate/shared_lanes.h"

#include <stdexcept>
#include <utility>

#include "gateswing/lanes/make_plan.h"

namespace gateswing::simulate {

SharedLanes::SharedLanes(const lanes::Kernel& kernel) : kernel_(kernel) {}

SharedLanes::~SharedLanes() = default;

void SharedLanes::run(std::size_t count, const std::function<bool()>& work) {
  std::vector<std::unique_ptr<Fiber>> fibers;
  for (std::size_t k = 0; k < count; ++k) {
    fibers.push_back(std::make_unique<Fiber>([&] {
      while (work()) {
      }
    }));
  }
  std::exception_ptr failure;
  const auto go_on = [&](Fiber& fiber) {
    try {
      fiber.resume();
    } catch (...) {
      if (!failure) failure = std::current_exception();
    }
  };
  for (const auto& fiber : fibers) go_on(*fiber);
  while (Group* const group = next_group()) {
    while (!group->waiting.empty() && !group->pack->full()) {
      Request& request = *group->waiting.front();
      group->waiting.pop_front();
      if (!board(*group->pack, request)) go_on(*request.fiber);
    }
    if (group->pack->count() == 0) continue;
    for (LaneRun* const run : group->pack->advance()) go_on(*static_cast<Request*>(run)->fiber);
  }
  if (failure) std::rethrow_exception(failure);
}

/// False where there is no place for it; the run tells its study why.
bool SharedLanes::board(LanePack& pack, Request& request) {
  try {
    pack.board(request);
    return true;
  } catch (...) {
    request.failure = std::current_exception();
    return false;
  }
}

LaneUse SharedLanes::use() const {
  LaneUse total{.scalar_runs = scalar_runs_};
  for (const auto& [key, group] : groups_) {
    if (group->pack) total += group->pack->use();
  }
  return total;
}

Interval SharedLanes::advance(Simulator& simulator, double end, const Settings& settings, Recorder* recorder,
                              std::vector<double>* step_ends) {
  Request request{{&simulator, end, recorder, {}, step_ends}, Fiber::running()};
  return carry(request, settings);
}

Interval SharedLanes::replay(Simulator& simulator, std::span<const double> step_ends, const Settings& settings) {
  Request request{{&simulator, step_ends.back(), nullptr, {}, nullptr, step_ends}, Fiber::running()};
  return carry(request, settings);
}

Interval SharedLanes::carry(Request& request, Settings settings) {
  if (request.fiber == nullptr) throw std::logic_error("a run on shared lanes must be asked for within their run()");
  settings.lanes = nullptr;
  Simulator& simulator = *request.simulator;
  Group& group = group_of(simulator.network(), settings);
  if (!group.pack || simulator.time() >= request.end) {
    ++scalar_runs_;
    if (!request.given_ends.empty()) return simulator.replay(request.given_ends, settings);
    return simulator.advance(request.end, settings, request.recorder, request.step_ends);
  }
  group.waiting.push_back(&request);
  Fiber::pause();
  if (request.failure) std::rethrow_exception(request.failure);
  return std::move(request.interval);
}

SharedLanes::Group& SharedLanes::group_of(const network::CompiledNetwork& network, const Settings& settings) {
  integrate::validate(integrator_settings(settings));  // a tolerance that is no number has no place in an order
  Key key{lanes::structure(network), settings.relative_tolerance, settings.maximum_steps, settings.cancelled};
  const auto place = groups_.find(key);
  if (place != groups_.end()) return *place->second;
  // Complete before it is entered: else a later run would find it without a pack, be scalar, and have other numbers.
  auto group = std::make_unique<Group>(lanes::make_plan(network));
  if (group->plan) group->pack = std::make_unique<LanePack>(*group->plan, kernel_, settings);
  return *groups_.emplace(std::move(key), std::move(group)).first->second;
}

/// The group with the most runs, so that the others' gather meanwhile until theirs are more; one that has been passed
/// over for long counts for more, lest it wait for as long as others go on. Null once there are no runs.
SharedLanes::Group* SharedLanes::next_group() {
  constexpr long patience = 32;  // turns that count as one more run
  Group* best = nullptr;
  long most = 0;
  for (const auto& [key, group] : groups_) {
    const long runs = static_cast<long>(group->waiting.size()) + (group->pack ? group->pack->count() : 0);
    if (runs == 0) continue;
    const long weight = runs + group->passed_over++ / patience;
    if (weight <= most) continue;
    most = weight;
    best = group.get();
  }
  if (best != nullptr) best->passed_over = 0;
  return best;
}

}  // namespace gateswing::simulate
