#include "shared/cells.h"

#include <cmath>
#include <random>
#include <utility>

#include "gateswing/network/half_bridge_cell.h"
#include "shared/demonstration_cell.h"

namespace gateswing::bench {
namespace {

using network::Circuit;
using network::CompiledNetwork;

constexpr double cycle = 5e-6;  // [s]
constexpr network::Pulse pulse{0.1e-6, 2.6e-6};

/// Of both switches of the output stage, from output to off rail.
void add_output_capacitance(Circuit& circuit, const std::string& prefix, double voltage) {
  constexpr double capacitance = 150e-12;  // [F]
  circuit.add_capacitor(prefix + "driver output capacitance", circuit.node(prefix + "driver output"),
                        circuit.node(prefix + "driver off rail"), device::ConstantCapacitance<>{capacitance}, voltage);
}

void set_command(CompiledNetwork& network, const Circuit& circuit, const std::string& prefix,
                 const std::vector<network::Pulse>& pulses, const network::CommandTiming& timing) {
  network.set_command(circuit.input_index(prefix + network::names::gate_command),
                      network::gate_command(pulses, timing));
}

CompiledNetwork low_side(network::LowSideCell cell, double current, const Vary& vary, int branches = 0) {
  for (double* value : {&cell.supply.voltage, &cell.gate.turn_on_resistance, &cell.wiring.loop_inductance,
                        &cell.mosfet.channel.threshold_voltage, &cell.mosfet.gate_drain.zero_bias,
                        &cell.mosfet.gate_source.low, &cell.load.resistance, &cell.driver.timing.rise_time})
    vary(*value);
  Circuit circuit = network::build(cell, current);
  add_output_capacitance(circuit, "", 0.0);
  for (int k = 0; k < branches; ++k)
    network::add_snubber(circuit, "branch " + std::to_string(k), {20.0 + 10.0 * k, 50e-12}, circuit.node("switch"),
                         network::Node::ground, cell.supply.voltage);
  CompiledNetwork network = network::compile(circuit);
  set_command(network, circuit, "", {pulse}, cell.driver.timing);
  return network;
}

/// Its drift resistance in the loop, where nothing nonlinear sees it: between that and the body diode lies no state.
network::LowSideCell regular_cell() {
  network::LowSideCell cell = demonstration_cell();
  cell.wiring.loop_resistance += std::exchange(cell.mosfet.drift_resistance, 0.0);
  return cell;
}

network::LowSideCell resistive_cell() {
  network::LowSideCell cell = regular_cell();
  cell.supply = {24.0, 0.0, 0.0, 0.0, 0.0, 0.0};
  cell.mosfet.gate_inductance = 0.0;
  cell.mosfet.drain_inductance = 0.0;
  cell.mosfet.source_inductance = 0.0;
  cell.gate = {22.0, std::nullopt, 0.0, 47e3};
  cell.load = {8.0, 0.0, std::nullopt};
  cell.freewheel.reset();
  cell.snubber.reset();
  cell.wiring = {40e-9, 7e-3, 0.0};
  return cell;
}

network::LowSideCell ringing_cell() {
  network::LowSideCell cell = regular_cell();
  cell.gate.steering.reset();
  return cell;
}

network::HalfBridgeCell bridge_cell() {
  network::HalfBridgeCell cell;
  cell.supply = {48.0, 15e-3, 0.0, 220e-6, 6e-3, 3e-9};
  network::BridgeSwitch one;
  one.mosfet = demonstration_mosfet();
  cell.loop_resistance = 2e-3 + 2.0 * std::exchange(one.mosfet.drift_resistance, 0.0);
  one.mosfet.body_diode.transit_time = 10e-9;
  one.mosfet.body_diode.lifetime = 40e-9;
  one.mosfet.gate_inductance = 0.0;
  one.driver = demonstration_cell().driver;
  one.gate = {8.0, std::nullopt, 6e-9, std::nullopt};
  cell.high = one;
  cell.low = one;
  cell.load = {0.5, 50e-6, std::nullopt};
  cell.loop_inductance = 6e-9;
  return cell;
}

CompiledNetwork half_bridge(const Vary& vary) {
  network::HalfBridgeCell cell = bridge_cell();
  for (double* value :
       {&cell.supply.voltage, &cell.high.gate.turn_on_resistance, &cell.loop_inductance,
        &cell.high.mosfet.channel.threshold_voltage, &cell.high.mosfet.gate_drain.zero_bias,
        &cell.low.mosfet.body_diode.lifetime, &cell.load.inductance, &cell.high.driver.timing.rise_time})
    vary(*value);
  constexpr double dead_time = 60e-9;  // [s]
  Circuit circuit = network::build(cell, 10.0, network::Side::low);
  add_output_capacitance(circuit, "high ", 0.0);
  add_output_capacitance(circuit, "low ", cell.low.driver.supply_voltage);
  CompiledNetwork network = network::compile(circuit);
  set_command(network, circuit, "high ", {pulse}, cell.high.driver.timing);
  set_command(network, circuit, "low ", {{-1e-6, pulse.on - dead_time}, {pulse.off + dead_time, 2.0 * cycle}},
              cell.low.driver.timing);
  return network;
}

}  // namespace

const std::vector<Cell>& cells() {
  static const std::vector<Cell> all{
      {"resistive low-side", [](const Vary& vary) { return low_side(resistive_cell(), 0.0, vary); }, cycle},
      {"ringing inductive", [](const Vary& vary) { return low_side(ringing_cell(), 6.0, vary); }, cycle},
      {"half bridge", half_bridge, cycle}};
  return all;
}

CompiledNetwork nominal(const Cell& cell) {
  return cell.network([](double&) {});
}

std::vector<CompiledNetwork> spread(const Cell& cell, std::size_t count) {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> factor(0.8, 1.25);
  std::vector<CompiledNetwork> networks{nominal(cell)};
  while (networks.size() < count) networks.push_back(cell.network([&](double& value) { value *= factor(random); }));
  return networks;
}

CompiledNetwork with_branches(int branches) {
  return low_side(resistive_cell(), 0.0, [](double&) {}, branches);
}

std::vector<double> stops(const Cell& cell, const CompiledNetwork& network) {
  std::vector<double> times = network::corner_times(network.inputs, 0.0, cell.end);
  times.push_back(cell.end);
  return times;
}

std::vector<double> checkpoints(const Cell& cell, const CompiledNetwork& network) {
  constexpr int each = 15;
  constexpr double closest = 2e-3;  // of the stretch
  std::vector<double> times;
  double begin = 0.0;
  for (const double stop : stops(cell, network)) {
    for (int k = 0; k + 1 < each; ++k)
      times.push_back(begin + (stop - begin) * std::pow(closest, 1.0 - static_cast<double>(k) / (each - 1)));
    times.push_back(stop);
    begin = stop;
  }
  return times;
}

}  // namespace gateswing::bench
