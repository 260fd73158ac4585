#include "gateswing/network/test_circuits.h"

#include <cmath>
#include <numbers>

#include "gateswing/network/element_checks.h"

namespace gateswing::network {
namespace {

/// Takes `current` [A] at `voltage` [V] and next to nothing some widths below it.
device::KneeConduction<> clamp_law(double voltage, double current, double width) {
  const double at_current = std::log(std::numbers::e - 1.0);  // softplus of it is 1
  return {voltage - width * at_current, width / current, width};
}

device::Mosfet<> without_power_leads(device::Mosfet<> mosfet) {
  mosfet.drain_inductance = 0.0;
  mosfet.source_inductance = 0.0;
  return mosfet;
}

/// Drain-source voltage of a channel that carries a current, or `most` if it does not [V]; by bisection.
double on_voltage(const device::Mosfet<>& mosfet, double gate_voltage, double current, double most) {
  double low = 0.0;
  double high = most;
  for (int k = 0; k < 60; ++k) {
    const double middle = 0.5 * (low + high);
    (device::channel_current(mosfet.channel, gate_voltage, middle) < current ? low : high) = middle;
  }
  return high;
}

/// Adds the diode under test, forward from `anode` to ground.
void add_diode(Circuit& circuit, const FreewheelDiode& diode, Node anode, double current) {
  FreewheelDiode bare = diode;
  bare.inductance = 0.0;
  add_freewheel(circuit, "part", bare, anode, Node::ground, current);
}

void add_diode(Circuit& circuit, const device::Mosfet<>& mosfet, Node anode, double current) {
  require_valid(mosfet, "");
  require_positive(mosfet.body_diode.saturation_current, names::body_diode,
                   "saturation current [A] of the part tested");
  device::Mosfet<> bare = without_power_leads(mosfet);
  bare.gate_inductance = 0.0;
  add_mosfet(circuit, "", bare, {Node::ground, anode, anode}, {-junction_voltage(bare.body_diode, current), 0.0});
}

}  // namespace

Circuit build(const GateChargeCircuit& test) {
  require_valid(test.mosfet, "");
  // So stiff that the charge of the gate does not see where between 0 and the load current the clamp is.
  const double width = 1e-6 * test.drain_voltage;
  Circuit circuit;
  const Node rail = circuit.node("rail");
  const MosfetPins pins{circuit.node(names::drain), circuit.node(names::gate), Node::ground};
  circuit.add_voltage_source("rail", rail, Node::ground, test.drain_voltage - 30.0 * width);
  circuit.add_current_source("load", rail, pins.drain, test.drain_current);
  circuit.add_knee("clamp", pins.drain, rail, clamp_law(30.0 * width, test.drain_current, width));
  circuit.add_current_source("gate source", Node::ground, pins.gate, test.gate_current);
  add_mosfet(circuit, "", without_power_leads(test.mosfet), pins, {test.drain_voltage, 0.0});
  return circuit;
}

Circuit build(const RecoveryCircuit& test, double end) {
  Circuit circuit;
  const Node anode = circuit.node(names::anode);
  const Node inside = circuit.node("inside");
  const double current = test.forward_current;
  circuit.add_current_source("ramp", Node::ground, anode,
                             PiecewiseLinear({{0.0, current}, {end, current - test.current_slope * end}}));
  circuit.add_knee("clamp", Node::ground, anode, clamp_law(test.reverse_voltage, current, 0.01 * test.reverse_voltage));
  circuit.add_resistor(names::part_current, anode, inside, 0.0);
  std::visit([&](const auto& part) { add_diode(circuit, part, inside, current); }, test.part);
  return circuit;
}

Circuit build(const AvalancheCircuit& test) {
  require_valid(test.mosfet, "");
  const device::Mosfet<> mosfet = without_power_leads(test.mosfet);
  Circuit circuit;
  const Node bus = circuit.node(names::bus);
  const Node generator = circuit.node("generator");
  const MosfetPins pins{circuit.node(names::drain), circuit.node(names::gate), Node::ground};
  circuit.add_voltage_source("supply", bus, Node::ground, test.supply_voltage);
  add_series(circuit, names::choke, bus, pins.drain, test.resistance, test.inductance, test.current);
  circuit.add_voltage_source("generator", generator, Node::ground,
                             PiecewiseLinear({{0.0, test.gate_voltage}, {test.fall_time, 0.0}}));
  circuit.add_resistor("gate resistor", generator, pins.gate, test.gate_resistance);
  const double start = on_voltage(mosfet, test.gate_voltage, test.current, mosfet.breakdown.knee_voltage);
  add_mosfet(circuit, "", mosfet, pins, {start, test.gate_voltage});
  return circuit;
}

}  // namespace gateswing::network
