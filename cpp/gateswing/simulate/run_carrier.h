// Who does a simulator's runs in its place.
#pragma once

#include <span>
#include <vector>

#include "gateswing/simulate/settings.h"

namespace gateswing::simulate {

struct Interval;
class Recorder;
class Simulator;

/// A simulator whose settings name one hands its runs over: one virtual call per run.
class RunCarrier {
 public:
  RunCarrier() = default;
  RunCarrier(const RunCarrier&) = delete;
  RunCarrier& operator=(const RunCarrier&) = delete;
  RunCarrier(RunCarrier&&) = delete;
  RunCarrier& operator=(RunCarrier&&) = delete;
  virtual ~RunCarrier() = default;

  /// As Simulator::advance() and replay().
  virtual Interval advance(Simulator& simulator, double end, const Settings& settings, Recorder* recorder,
                           std::vector<double>* step_ends) = 0;
  virtual Interval replay(Simulator& simulator, std::span<const double> step_ends, const Settings& settings) = 0;
};

}  // namespace gateswing::simulate
