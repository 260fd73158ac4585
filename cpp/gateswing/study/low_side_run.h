// A low-side cell set up to be switched.
#pragma once

#include <utility>

#include "gateswing/network/low_side_cell.h"
#include "gateswing/study/recorded_run.h"

namespace gateswing::study {

class LowSideRun : public RecordedRun {
 public:
  LowSideRun(const network::LowSideCell& cell, double load_current,
             network::SwitchState state = network::SwitchState::off);

  /// Of a circuit that holds a low-side cell, recording what `probes` chooses.
  LowSideRun(const network::Circuit& circuit, const ProbesOf& probes);

  /// Sets the command at the driver's output, 0 to 1.
  void set_command(network::PiecewiseLinear command) { simulator().set_command(command_, std::move(command)); }

 private:
  network::InputIndex command_;
};

}  // namespace gateswing::study
