#include "gateswing/study/half_bridge_run.h"

#include <utility>

#include "gateswing/study/half_bridge_channels.h"

namespace gateswing::study {
namespace {

network::InputIndex command_of(const network::Circuit& circuit, network::Side side) {
  return circuit.input_index(network::prefix(side) + network::names::gate_command);
}

}  // namespace

HalfBridgeRun::HalfBridgeRun(const network::HalfBridgeCell& cell, double load_current, network::Side on)
    : HalfBridgeRun(cell, network::build(cell, load_current, on)) {}

HalfBridgeRun::HalfBridgeRun(const network::HalfBridgeCell& cell, const network::Circuit& circuit)
    : high_{command_of(circuit, network::Side::high), cell.high.driver.timing},
      low_{command_of(circuit, network::Side::low), cell.low.driver.timing},
      simulator_(network::compile(circuit)),
      recorder_(simulator_.network(), half_bridge_probes(simulator_.network(), cell)) {}

void HalfBridgeRun::set_pulses(network::Side side, const std::vector<network::Pulse>& pulses) {
  const Command& command = side == network::Side::high ? high_ : low_;
  simulator_.set_command(command.input, network::gate_command(pulses, command.timing));
}

void HalfBridgeRun::set_command(network::Side side, network::PiecewiseLinear command) {
  simulator_.set_command((side == network::Side::high ? high_ : low_).input, std::move(command));
}

}  // namespace gateswing::study
