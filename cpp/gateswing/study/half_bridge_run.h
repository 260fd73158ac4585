// A half bridge set up to be switched.
#pragma once

#include <vector>

#include "gateswing/network/half_bridge_cell.h"
#include "gateswing/study/recorded_run.h"

namespace gateswing::study {

class HalfBridgeRun : public RecordedRun {
 public:
  /// Starts with the switch `on` carrying `load_current` [A].
  HalfBridgeRun(const network::HalfBridgeCell& cell, double load_current, network::Side on);

  /// Sets the logic pulses of one side; times in [s].
  void set_pulses(network::Side side, const std::vector<network::Pulse>& pulses);

  /// Sets the command at the driver's output of one side, 0 to 1.
  void set_command(network::Side side, network::PiecewiseLinear command);

 private:
  struct Command {
    network::InputIndex input;
    network::CommandTiming timing;
  };

  HalfBridgeRun(const network::HalfBridgeCell& cell, const network::Circuit& circuit);

  [[nodiscard]] const Command& command(network::Side side) const { return side == network::Side::high ? high_ : low_; }

  Command high_;
  Command low_;
};

}  // namespace gateswing::study
