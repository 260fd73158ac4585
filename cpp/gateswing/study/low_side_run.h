// A low-side cell set up to be switched: simulator, recorder, characteristic times.
#pragma once

#include <utility>

#include "gateswing/network/low_side_cell.h"
#include "gateswing/study/recorder.h"
#include "gateswing/study/simulator.h"

namespace gateswing::study {

/// Time the driver needs for the whole gate charge against the whole bus voltage, plus its own delays and ramps [s].
///
/// Hand estimate, common practice, no source: charge of both gate capacitances over half the drive voltage divided by
/// the resistance in the path, or over the current limit if that is less. Only sets how long the studies look.
double switching_time_estimate(const network::LowSideCell& cell);

/// Simulator and recorder of one cell.
class LowSideRun {
 public:
  LowSideRun(const network::LowSideCell& cell, double load_current);

  /// Sets the command at the driver's output, 0 to 1.
  void set_command(network::PiecewiseLinear command) { simulator_.set_input(command_, std::move(command)); }

  /// Runs to `end` and adds to the record.
  Interval advance(double end, const Settings& settings) { return simulator_.advance(end, settings, &recorder_); }

  Simulator& simulator() { return simulator_; }
  [[nodiscard]] const Simulator& simulator() const { return simulator_; }
  Recorder& recorder() { return recorder_; }
  [[nodiscard]] const waveform::Waveform& waveform() const { return recorder_.waveform(); }

 private:
  LowSideRun(const network::LowSideCell& cell, const network::Circuit& circuit);

  network::InputIndex command_;
  Simulator simulator_;
  Recorder recorder_;
};

}  // namespace gateswing::study
