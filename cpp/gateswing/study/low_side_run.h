// A low-side cell set up to be switched: simulator and recorder.
#pragma once

#include <vector>

#include "gateswing/network/low_side_cell.h"
#include "gateswing/study/recorder.h"
#include "gateswing/study/simulator.h"

namespace gateswing::study {

/// Simulator and recorder of one cell.
class LowSideRun {
 public:
  LowSideRun(const network::LowSideCell& cell, double load_current,
             network::SwitchState state = network::SwitchState::off);

  /// Sets the logic pulses; times in [s].
  void set_pulses(const std::vector<network::Pulse>& pulses);

  /// Holds the driver's command at one level, 0 to 1.
  void set_constant_command(double level);

  /// Runs to `end` and adds to the record.
  Interval advance(double end, const Settings& settings) { return simulator_.advance(end, settings, &recorder_); }

  Simulator& simulator() { return simulator_; }
  [[nodiscard]] const Simulator& simulator() const { return simulator_; }
  Recorder& recorder() { return recorder_; }
  [[nodiscard]] const waveform::Waveform& waveform() const { return recorder_.waveform(); }

 private:
  LowSideRun(const network::LowSideCell& cell, const network::Circuit& circuit);

  network::CommandTiming timing_;
  network::InputIndex command_;
  Simulator simulator_;
  Recorder recorder_;
};

}  // namespace gateswing::study
