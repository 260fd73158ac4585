// A half bridge set up to be switched: simulator and recorder.
#pragma once

#include <vector>

#include "gateswing/network/half_bridge_cell.h"
#include "gateswing/simulate/recorder.h"
#include "gateswing/simulate/simulator.h"

namespace gateswing::study {

/// Simulator and recorder of one half bridge.
class HalfBridgeRun {
 public:
  /// Starts with the switch `on` carrying `load_current` [A].
  HalfBridgeRun(const network::HalfBridgeCell& cell, double load_current, network::Side on);

  /// Sets the logic pulses of one side; times in [s].
  void set_pulses(network::Side side, const std::vector<network::Pulse>& pulses);

  /// Sets the command at the driver's output of one side, 0 to 1.
  void set_command(network::Side side, network::PiecewiseLinear command);

  /// Runs to `end` and adds to the record.
  simulate::Interval advance(double end, const simulate::Settings& settings) {
    return simulator_.advance(end, settings, &recorder_);
  }

  simulate::Simulator& simulator() { return simulator_; }
  [[nodiscard]] const simulate::Simulator& simulator() const { return simulator_; }
  simulate::Recorder& recorder() { return recorder_; }
  [[nodiscard]] const waveform::Waveform& waveform() const { return recorder_.waveform(); }

 private:
  struct Command {
    network::InputIndex input;
    network::CommandTiming timing;
  };

  HalfBridgeRun(const network::HalfBridgeCell& cell, const network::Circuit& circuit);

  Command high_;
  Command low_;
  simulate::Simulator simulator_;
  simulate::Recorder recorder_;
};

}  // namespace gateswing::study
