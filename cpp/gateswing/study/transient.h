// What all studies of a single transient have in common: how long they look, how they run, what they bring.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "gateswing/network/ledger.h"
#include "gateswing/network/load.h"
#include "gateswing/study/recorded_run.h"

namespace gateswing::study {

struct Transient {
  integrate::Status status = integrate::Status::success;
  std::string message;
  network::Ledger ledger;  ///< without entries unless the run succeeded
  integrate::Statistics statistics;
  waveform::Waveform waveform;

  [[nodiscard]] bool succeeded() const { return status == integrate::Status::success; }
};

/// Runs a circuit from its initial state, in stretches. After a failure it stays where it is, and says why.
class TransientRun {
 public:
  /// Starts at `begin` [s]. `run` must outlive this.
  TransientRun(RecordedRun& run, double begin, const simulate::Settings& settings);

  /// To `end` [s]; false if that or anything before has failed.
  bool advance(double end);

  /// Likewise for what comes before the transient itself: the ledger begins anew behind it.
  bool lead_in(double end);

  [[nodiscard]] const RecordedRun& run() const { return run_; }
  [[nodiscard]] Transient result() const;

 private:
  RecordedRun& run_;
  simulate::Settings settings_;
  integrate::Status status_ = integrate::Status::success;
  bool started_;
  integrate::Statistics statistics_;
  std::optional<simulate::Interval> counted_;  ///< for the ledger
};

inline constexpr double shortest_look = 1e-6;        ///< so that rings in layouts of the usual size are seen [s]
inline constexpr double switching_times_seen = 5.0;  ///< common practice, no source

/// How long a study looks at an edge that takes a driver `switching_time` [s]; the longer of both [s].
double look_at_edge(double switching_time);

/// How long it records before the first command, while `voltage` [V] across the load changes its current: by not more
/// than a thousandth [s].
double look_before(const network::Load& load, double current, double voltage);

/// A stated time of a study, `name` with unit [s], or `look` where it is 0. Throws std::invalid_argument for one below.
double time_or(double requested, double look, std::string_view name);

/// The current that a load holds constant, if it does [A]. Throws std::invalid_argument where another one is asked for.
std::optional<double> held_current(const network::Load& load, double requested);

}  // namespace gateswing::study
