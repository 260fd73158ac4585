// Runs of one structure on the lanes of one pack.
#pragma once

#include <exception>
#include <memory>
#include <span>
#include <vector>

#include "gateswing/lanes/kernel.h"
#include "gateswing/lanes/pack_memory.h"
#include "gateswing/simulate/simulator.h"

namespace gateswing::simulate {

/// What Simulator::advance() or, where steps are given, Simulator::replay() is asked of one simulator, and what it
/// brought.
struct LaneRun {
  Simulator* simulator = nullptr;
  double end = 0.0;                          ///< [s]
  Recorder* recorder = nullptr;              ///< may be null
  Interval interval{};                       ///< the answer
  std::vector<double>* step_ends = nullptr;  ///< the end of each accepted step is added [s]; may be null
  /// Steps to repeat, the last of which ends at `end` [s]; none: chosen.
  std::span<const double> given_ends{};  // NOLINT(readability-redundant-member-init): GCC warns without it
  std::exception_ptr failure{};          ///< what was thrown in the place of an answer
};

/// How well the lanes were used.
struct LaneUse {
  long slots = 0;        ///< attempts of all packs times their lanes
  long steps = 0;        ///< of these, attempts of a running lane
  long scalar_runs = 0;  ///< runs that a scalar solver began or finished

  LaneUse& operator+=(const LaneUse& other);
  [[nodiscard]] double occupancy() const {
    return slots > 0 ? static_cast<double>(steps) / static_cast<double>(slots) : 0.0;
  }
};

class Passenger;

class LanePack {
 public:
  /// `plan` must outlive this. Throws std::invalid_argument for settings that the integrator refuses.
  LanePack(const lanes::Plan& plan, const lanes::Kernel& kernel, const Settings& settings);
  ~LanePack();
  LanePack(const LanePack&) = delete;
  LanePack& operator=(const LanePack&) = delete;
  LanePack(LanePack&&) = delete;
  LanePack& operator=(LanePack&&) = delete;

  /// Gives a run with the plan's structure a lane; not to a full pack. The run stays where it is until it has ended.
  /// What is thrown, as for want of memory, leaves the run without a lane and the others on theirs.
  void board(LaneRun& run);

  [[nodiscard]] int count() const { return count_; }  ///< of runs on lanes
  [[nodiscard]] bool full() const { return count_ == kernel_.width; }

  /// Carries the runs until some have ended, and returns those, until it is called again; there must be one. What a
  /// lane cannot integrate, the scalar solver finishes meanwhile. What goes wrong with a run is that run's failure.
  std::span<LaneRun* const> advance();

  [[nodiscard]] const LaneUse& use() const { return use_; }

 private:
  void make_room();
  void look_after(const lanes::PackOutcome& outcome);
  [[nodiscard]] bool has_ended(int lane, const lanes::PackOutcome& outcome, bool cancelled);
  bool give_up(Passenger& passenger);
  template <class Act>
  void unload_where(const Act& ends);

  const lanes::Plan& plan_;
  const lanes::Kernel& kernel_;
  Settings settings_;
  lanes::PackMemory memory_;
  std::vector<std::unique_ptr<Passenger>> passengers_;  ///< by lane
  std::vector<lanes::StepEnds> ends_;                   ///< likewise
  std::vector<LaneRun*> ended_;                         ///< in the last advance()
  unsigned running_ = 0, recorded_ = 0;
  int count_ = 0;
  LaneUse use_;
};

}  // namespace gateswing::simulate
