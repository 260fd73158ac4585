// A circuit set up to be run and recorded.
#pragma once

#include <functional>
#include <vector>

#include "gateswing/network/circuit.h"
#include "gateswing/network/probe.h"
#include "gateswing/simulate/recorder.h"
#include "gateswing/simulate/simulator.h"

namespace gateswing::study {

/// Simulator and recorder of one circuit.
class RecordedRun {
 public:
  using ProbesOf = std::function<std::vector<network::Probe>(const network::CompiledNetwork&)>;

  /// Records what `probes` chooses.
  RecordedRun(const network::Circuit& circuit, const ProbesOf& probes)
      : simulator_(network::compile(circuit)), recorder_(simulator_.network(), probes(simulator_.network())) {}

  /// Runs to `end` and adds to the record.
  simulate::Interval advance(double end, const simulate::Settings& settings) {
    return simulator_.advance(end, settings, &recorder_);
  }

  simulate::Simulator& simulator() { return simulator_; }
  [[nodiscard]] const simulate::Simulator& simulator() const { return simulator_; }
  simulate::Recorder& recorder() { return recorder_; }
  [[nodiscard]] const waveform::Waveform& waveform() const { return recorder_.waveform(); }

 private:
  simulate::Simulator simulator_;
  simulate::Recorder recorder_;
};

}  // namespace gateswing::study
