#include "gateswing/study/half_bridge_run.h"

#include <utility>

#include "gateswing/study/half_bridge_channels.h"

namespace gateswing::study {

using network::Side;

HalfBridgeRun::HalfBridgeRun(const network::HalfBridgeCell& cell, double load_current, Side on)
    : HalfBridgeRun(cell, network::build(cell, load_current, on)) {}

HalfBridgeRun::HalfBridgeRun(const network::HalfBridgeCell& cell, const network::Circuit& circuit)
    : RecordedRun(circuit, [&](const network::CompiledNetwork& network) { return half_bridge_probes(network, cell); }),
      high_{circuit.input_index(network::prefix(Side::high) + network::names::gate_command), cell.high.driver.timing},
      low_{circuit.input_index(network::prefix(Side::low) + network::names::gate_command), cell.low.driver.timing} {}

void HalfBridgeRun::set_pulses(Side side, const std::vector<network::Pulse>& pulses) {
  set_command(side, network::gate_command(pulses, command(side).timing));
}

void HalfBridgeRun::set_command(Side side, network::PiecewiseLinear command) {
  simulator().set_command(this->command(side).input, std::move(command));
}

}  // namespace gateswing::study
