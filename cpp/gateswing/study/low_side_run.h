// A low-side cell set up to be switched: simulator and recorder.
#pragma once

#include <functional>
#include <utility>
#include <vector>

#include "gateswing/network/low_side_cell.h"
#include "gateswing/simulate/recorder.h"
#include "gateswing/simulate/simulator.h"

namespace gateswing::study {

/// Simulator and recorder of one cell.
class LowSideRun {
 public:
  LowSideRun(const network::LowSideCell& cell, double load_current,
             network::SwitchState state = network::SwitchState::off);

  using ProbesOf = std::function<std::vector<network::Probe>(const network::CompiledNetwork&)>;

  /// Of a circuit that holds a low-side cell, recording what `probes` chooses.
  LowSideRun(const network::Circuit& circuit, const ProbesOf& probes);

  /// Sets the command at the driver's output, 0 to 1.
  void set_command(network::PiecewiseLinear command) { simulator_.set_command(command_, std::move(command)); }

  /// Runs to `end` and adds to the record.
  simulate::Interval advance(double end, const simulate::Settings& settings) {
    return simulator_.advance(end, settings, &recorder_);
  }

  simulate::Simulator& simulator() { return simulator_; }
  [[nodiscard]] const simulate::Simulator& simulator() const { return simulator_; }
  simulate::Recorder& recorder() { return recorder_; }
  [[nodiscard]] const waveform::Waveform& waveform() const { return recorder_.waveform(); }

 private:
  network::InputIndex command_;
  simulate::Simulator simulator_;
  simulate::Recorder recorder_;
};

}  // namespace gateswing::study
