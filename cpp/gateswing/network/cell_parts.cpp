#include "gateswing/network/cell_parts.h"

#include <algorithm>
#include <cmath>

#include "gateswing/network/refusals.h"

namespace gateswing::network {

void add_series(Circuit& circuit, const std::string& name, Node a, Node b, double resistance, double inductance,
                double initial_current) {
  const Node middle = circuit.node(names::middle_of(name));
  circuit.add_resistor(names::resistance_of(name), a, middle, resistance);
  circuit.add_inductor(names::inductance_of(name), middle, b, inductance, initial_current);
}

void add_supply(Circuit& circuit, const Supply& supply, double current) {
  const Node source = circuit.node(names::supply);
  const Node bus = circuit.node(names::bus);
  circuit.add_voltage_source(names::bus_supply, source, Node::ground, supply.voltage);
  add_series(circuit, names::supply, source, bus, supply.resistance, supply.inductance, current);
  if (supply.bulk_capacitance == 0.0) return;
  const Node terminal = circuit.node("bulk terminal");
  add_series(circuit, names::bulk, bus, terminal, supply.bulk_resistance, supply.bulk_inductance);
  circuit.add_capacitor("bulk capacitor", terminal, Node::ground,
                        device::ConstantCapacitance<>{supply.bulk_capacitance},
                        supply.voltage - supply.resistance * current);
}

double junction_voltage(const device::JunctionDiode<>& junction, double current) {
  return current > 0.0 ? junction.emission_voltage * std::log1p(current / junction.saturation_current) : 0.0;
}

void add_freewheel(Circuit& circuit, const std::string& name, const FreewheelDiode& diode, Node anode, Node cathode,
                   double current, double reverse_voltage) {
  if (current > 0.0)
    require_positive(diode.junction.saturation_current, names::diode_of(name),
                     "saturation current [A] of a diode that carries a current at the start");
  const double voltage = current > 0.0 ? -junction_voltage(diode.junction, current) : reverse_voltage;
  const Node inner = circuit.node(names::anode_of(name));
  add_series(circuit, name, anode, inner, diode.resistance, diode.inductance, current);
  circuit.add_diode(names::diode_of(name), inner, cathode, diode.junction, current);
  circuit.add_capacitor(name + " capacitance", cathode, inner, diode.capacitance, voltage);
}

MosfetStart conducting(const device::Mosfet<>& mosfet, const PushPullDriver& driver, double drain_current) {
  const double gate = driver.supply_voltage;
  const double overdrive = device::channel_overdrive(mosfet.channel, gate);
  const double resistance =
      (1.0 + mosfet.channel.mobility_degradation * overdrive) / (mosfet.channel.transconductance_factor * overdrive);
  const double least = -junction_voltage(mosfet.body_diode, -drain_current);
  const double across = std::max(drain_current * (resistance + mosfet.drift_resistance), least);
  const double drop =
      std::min(across * resistance / (resistance + mosfet.drift_resistance), mosfet.breakdown.knee_voltage);
  return {drop, gate, drain_current};
}

double pin_voltage(const device::Mosfet<>& mosfet, const MosfetStart& start) {
  return std::max(start.drain_source + mosfet.drift_resistance * start.drain_current,
                  -junction_voltage(mosfet.body_diode, -start.drain_current));
}

void add_mosfet(Circuit& circuit, const std::string& prefix, const device::Mosfet<>& mosfet, const MosfetPins& pins,
                const MosfetStart& start) {
  const Node gate = circuit.node(prefix + names::gate_die);
  const Node drain = circuit.node(prefix + names::drain_die);
  const Node source = circuit.node(prefix + names::source_die);
  const double drain_gate = start.drain_source - start.gate_source;
  add_series(circuit, prefix + names::gate_lead, pins.gate, gate, mosfet.internal_gate_resistance,
             mosfet.gate_inductance);
  const Node substrate = circuit.node(prefix + names::substrate);
  circuit.add_inductor(names::inductance_of(prefix + names::drain_lead), pins.drain, substrate, mosfet.drain_inductance,
                       start.drain_current);
  circuit.add_resistor(prefix + names::drift_region, substrate, drain, mosfet.drift_resistance);
  circuit.add_inductor(prefix + "source lead inductance", source, pins.source, mosfet.source_inductance,
                       start.drain_current);
  circuit.add_capacitor(prefix + names::gate_source_capacitance, gate, source, mosfet.gate_source, start.gate_source);
  circuit.add_capacitor(prefix + names::drain_source_capacitance, drain, source, mosfet.drain_source,
                        start.drain_source);
  circuit.add_capacitor(prefix + names::gate_drain_capacitance, drain, gate, mosfet.gate_drain, drain_gate);
  if (mosfet.gate_drain_step)
    circuit.add_capacitor(prefix + names::gate_drain_step_capacitance, drain, gate, *mosfet.gate_drain_step,
                          drain_gate);
  if (mosfet.drain_source_step)
    circuit.add_capacitor(prefix + names::drain_source_step_capacitance, drain, source, *mosfet.drain_source_step,
                          start.drain_source);
  circuit.add_channel(prefix + names::channel, gate, drain, source, mosfet.channel);
  circuit.add_diode(prefix + names::body_diode, source, substrate, mosfet.body_diode);
  circuit.add_knee(prefix + names::breakdown, drain, source, mosfet.breakdown);
}

void add_driver(Circuit& circuit, const std::string& prefix, const PushPullDriver& driver, const GatePath& gate,
                Node reference, const MosfetPins& pins, SwitchState state) {
  circuit.add_voltage_source(prefix + names::driver_supply, circuit.node(prefix + names::driver_supply), reference,
                             driver.supply_voltage);
  add_fed_driver(circuit, prefix, driver, gate, reference, pins, state);
}

void add_fed_driver(Circuit& circuit, const std::string& prefix, const PushPullDriver& driver, const GatePath& gate,
                    Node reference, const MosfetPins& pins, SwitchState state) {
  const bool on = state == SwitchState::on;
  const Node supply = circuit.node(prefix + names::driver_supply);
  const Node off = circuit.node(prefix + "driver off rail");
  const Node output = circuit.node(prefix + names::driver_output);
  const Node wire = circuit.node(prefix + "gate wire");
  circuit.add_voltage_source(prefix + names::driver_off_supply, off, reference, driver.off_voltage);
  const InputIndex command = circuit.add_input(prefix + names::gate_command, PiecewiseLinear(on ? 1.0 : 0.0));
  circuit.add_driver(prefix + names::driver, supply, output, off, command, driver.output,
                     on ? 0.0 : driver.supply_voltage - driver.off_voltage);
  circuit.add_resistor(prefix + names::gate_resistor, output, wire, gate.turn_on_resistance);
  if (gate.steering) circuit.add_knee(prefix + names::turn_off_gate_branch, wire, output, *gate.steering);
  circuit.add_inductor(prefix + "gate wiring inductance", wire, pins.gate, gate.inductance);
  if (gate.pull_down_resistance)
    circuit.add_resistor(prefix + names::gate_pull_down, pins.gate, pins.source, *gate.pull_down_resistance);
}

void add_snubber(Circuit& circuit, const std::string& name, const Snubber& snubber, Node a, Node b, double voltage) {
  const Node middle = circuit.node(names::middle_of(name));
  circuit.add_resistor(names::resistor_of(name), a, middle, snubber.resistance);
  circuit.add_capacitor(name + " capacitor", middle, b, device::ConstantCapacitance<>{snubber.capacitance}, voltage);
}

void add_clamp(Circuit& circuit, const std::string& name, const Clamp& clamp, Node plus, Node minus, double voltage) {
  circuit.add_knee(name, plus, minus, clamp.law);
  circuit.add_capacitor(name + " capacitance", plus, minus, device::ConstantCapacitance<>{clamp.capacitance}, voltage);
}

void add_rcd_clamp(Circuit& circuit, const std::string& name, const RcdClamp& clamp, Node a, Node b,
                   double reverse_voltage) {
  const Node cathode = circuit.node(name + " cathode");
  add_freewheel(circuit, name, clamp.diode, a, cathode, 0.0, reverse_voltage);
  circuit.add_capacitor(name + " capacitor", cathode, b, device::ConstantCapacitance<>{clamp.capacitance});
  circuit.add_resistor(names::resistor_of(name), cathode, b, clamp.resistance);
}

}  // namespace gateswing::network
