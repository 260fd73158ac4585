// One turn-on and one turn-off at a given current.
#pragma once

#include "gateswing/network/low_side_cell.h"
#include "gateswing/study/edge_figures.h"
#include "gateswing/study/low_side_run.h"
#include "gateswing/study/transient.h"

namespace gateswing::study {

struct DoublePulseRequest {
  /// Current in load and freewheel diode when the switch is told to turn on [A]; 0 chooses what the load draws when
  /// the switch stays on. A load without inductance carries none before turn-on, so it takes no other value.
  double current = 0.0;
  double on_time = 0.0;   ///< logic command [s]; 0 chooses several times the switching time
  double off_time = 0.0;  ///< record after the turn-off command [s]; 0 chooses likewise
};

/// The ledger is from the turn-on command to the end; time 0 of the waveform is the logic command "on".
struct DoublePulse : Transient {
  double current = no_figure;  ///< load current at the turn-off command [A]
  double on_time = 0.0;        ///< as used [s]
  double off_time = 0.0;       ///< as used [s]
  TurnOnFigures turn_on{};
  TurnOffFigures turn_off{};
};

/// A double pulse as it is run.
struct PulsePlan {
  double current = 0.0;   ///< in the load before the turn-on [A]
  double on_time = 0.0;   ///< [s]
  double off_time = 0.0;  ///< [s]
};

/// Chooses what the request leaves open; `mosfets` in parallel take so many times the time of the cell's one.
PulsePlan plan_pulse(const network::LowSideCell& cell, const DoublePulseRequest& request, double mosfets = 1.0);

/// Runs the pulse and reads the figures of its edges; `run` holds the cell at the current of the plan.
DoublePulse record_pulse(LowSideRun& run, const network::LowSideCell& cell, const PulsePlan& plan,
                         const simulate::Settings& settings);

/// Turn-on at t = 0 with the load current already flowing in load and freewheel diode, as in the second pulse of a
/// double-pulse test (IEC 60747-8; the first pulse only establishes the current), then turn-off at on_time.
/// Throws std::invalid_argument for a cell that makes no sense, and for a current that the load cannot carry.
DoublePulse double_pulse(const network::LowSideCell& cell, const DoublePulseRequest& request,
                         const simulate::Settings& settings);

}  // namespace gateswing::study
