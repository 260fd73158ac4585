#include "gateswing/simulate/lane_pack.h"

#include "gateswing/simulate/passenger.h"

namespace gateswing::simulate {
namespace {

using integrate::Status;

constexpr int attempts_between_looks = 256;  // at the flag that cancels

constexpr unsigned bit(int lane) {
  return 1U << static_cast<unsigned>(lane);
}

/// As the scalar solver does.
Settings checked(const Settings& settings) {
  integrate::validate(integrator_settings(settings));
  return settings;
}

}  // namespace

LaneUse& LaneUse::operator+=(const LaneUse& other) {
  slots += other.slots;
  steps += other.steps;
  scalar_runs += other.scalar_runs;
  return *this;
}

LanePack::LanePack(const lanes::Plan& plan, const lanes::Kernel& kernel, const Settings& settings)
    : plan_(plan),
      kernel_(kernel),
      settings_(checked(settings)),
      memory_(plan, kernel.width),
      passengers_(static_cast<std::size_t>(kernel.width)),
      ends_(static_cast<std::size_t>(kernel.width)) {
  ended_.reserve(static_cast<std::size_t>(kernel.width));
  settings_.lanes = nullptr;  // for the runs that a lane cannot integrate
}

LanePack::~LanePack() = default;

void LanePack::board(LaneRun& run) {
  int lane = 0;
  while ((running_ & bit(lane)) != 0) ++lane;
  const auto place = static_cast<std::size_t>(lane);
  passengers_[place] = std::make_unique<Passenger>(run, memory_, ends_[place], lane);
  running_ |= bit(lane);
  if (run.recorder != nullptr) recorded_ |= bit(lane);
  ++count_;
}

std::span<LaneRun* const> LanePack::advance() {
  const integrate::Settings limits = integrator_settings(settings_);
  const lanes::Tolerance tolerance{limits.relative_tolerance, limits.absolute_tolerance,
                                   static_cast<double>(limits.maximum_steps)};
  ended_.clear();
  while (ended_.empty()) {
    make_room();
    if (running_ == 0) break;
    const lanes::PackOutcome outcome =
        kernel_.advance(plan_, memory_.values(), tolerance, ends_.data(), running_, recorded_, attempts_between_looks);
    use_.slots += static_cast<long>(outcome.attempts) * kernel_.width;
    use_.steps += outcome.lane_steps;
    look_after(outcome);
  }
  return ended_;
}

void LanePack::make_room() {
  unload_where([&](int lane) {
    passengers_[static_cast<std::size_t>(lane)]->make_room(attempts_between_looks);
    return false;
  });
}

void LanePack::look_after(const lanes::PackOutcome& outcome) {
  const bool all_end = settings_.is_cancelled();
  unload_where([&](int lane) { return has_ended(lane, outcome, all_end); });
}

bool LanePack::has_ended(int lane, const lanes::PackOutcome& outcome, bool cancelled) {
  const auto is_in = [&](unsigned lanes) { return (lanes & bit(lane)) != 0; };
  Passenger& passenger = *passengers_[static_cast<std::size_t>(lane)];
  if (is_in(outcome.accepted)) passenger.record(plan_);
  if (is_in(outcome.finished) && !passenger.go_on()) return true;
  if (is_in(outcome.failed)) return give_up(passenger);
  if (cancelled) passenger.stop(Status::cancelled);
  return cancelled;
}

bool LanePack::give_up(Passenger& passenger) {
  if (passenger.used_up(settings_)) {
    passenger.stop(Status::step_limit);
  } else {
    ++use_.scalar_runs;
    passenger.finish_scalar(settings_);
  }
  return true;
}

/// Frees the lanes whose run ends or, by what is thrown, fails.
template <class Act>
void LanePack::unload_where(const Act& ends) {
  for (int lane = 0; lane < kernel_.width; ++lane) {
    if ((running_ & bit(lane)) == 0) continue;
    const auto place = static_cast<std::size_t>(lane);
    LaneRun& run = passengers_[place]->run();
    try {
      if (!ends(lane)) continue;
    } catch (...) {
      run.failure = std::current_exception();
    }
    ended_.push_back(&run);
    passengers_[place].reset();
    ends_[place] = {};
    running_ &= ~bit(lane);
    recorded_ &= ~bit(lane);
    --count_;
  }
}

}  // namespace gateswing::simulate
