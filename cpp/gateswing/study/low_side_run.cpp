#include "gateswing/study/low_side_run.h"

#include <algorithm>
#include <cmath>

#include "gateswing/study/channels.h"

namespace gateswing::study {
namespace {

double gate_charge_estimate(const network::LowSideCell& cell) {
  const double on = cell.driver.supply_voltage;
  const double off = cell.driver.off_voltage;
  const device::Mosfet<>& mosfet = cell.mosfet;
  const double gate_source = device::charge(mosfet.gate_source, on) - device::charge(mosfet.gate_source, off);
  const auto swung = [&](const auto& law) {
    return device::charge(law, cell.supply.voltage - off) - device::charge(law, -on);
  };
  const double step = mosfet.gate_drain_step ? swung(*mosfet.gate_drain_step) : 0.0;
  return gate_source + swung(mosfet.gate_drain) + step;
}

}  // namespace

double switching_time_estimate(const network::LowSideCell& cell) {
  const device::DriverOutput<>& output = cell.driver.output;
  const double swing = cell.driver.supply_voltage - cell.driver.off_voltage;
  const double path = std::max(output.source_resistance, output.sink_resistance) + cell.gate.turn_on_resistance +
                      cell.mosfet.internal_gate_resistance;
  const double limit = std::max(output.inverse_source_limit, output.inverse_sink_limit);
  const double time_per_charge = std::max(2.0 * path / swing, limit);
  const network::CommandTiming& timing = cell.driver.timing;
  return gate_charge_estimate(cell) * time_per_charge + std::max(timing.rise_time, timing.fall_time) +
         std::max(timing.turn_on_delay, timing.turn_off_delay);
}

LowSideRun::LowSideRun(const network::LowSideCell& cell, double load_current)
    : LowSideRun(cell, network::build(cell, load_current)) {}

LowSideRun::LowSideRun(const network::LowSideCell& cell, const network::Circuit& circuit)
    : command_(circuit.input_index(network::gate_command_input)),
      simulator_(network::compile(circuit)),
      recorder_(simulator_.network(), low_side_probes(simulator_.network(), cell)) {}

}  // namespace gateswing::study
