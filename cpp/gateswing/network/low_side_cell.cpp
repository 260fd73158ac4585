#include "gateswing/network/low_side_cell.h"

#include <cmath>
#include <stdexcept>
#include <string>

namespace gateswing::network {
namespace {

/// Resistance and inductance in series from a to b; either may be zero. Its current is that of "<name> inductance".
void add_series(Circuit& circuit, const std::string& name, Node a, Node b, double resistance, double inductance,
                double initial_current = 0.0) {
  const Node middle = circuit.node(name + " middle");
  circuit.add_resistor(name + " resistance", a, middle, resistance);
  circuit.add_inductor(name + " inductance", middle, b, inductance, initial_current);
}

void add_supply(Circuit& circuit, const Supply& supply) {
  const Node source = circuit.node("supply");
  const Node bus = circuit.node("bus");
  circuit.add_voltage_source("bus supply", source, Node::ground, supply.voltage);
  add_series(circuit, "supply", source, bus, supply.resistance, supply.inductance);
  if (supply.bulk_capacitance == 0.0) return;
  const Node terminal = circuit.node("bulk terminal");
  add_series(circuit, "bulk", bus, terminal, supply.bulk_resistance, supply.bulk_inductance);
  circuit.add_capacitor("bulk capacitor", terminal, Node::ground,
                        device::ConstantCapacitance<>{supply.bulk_capacitance}, supply.voltage);
}

void add_load(Circuit& circuit, const Load& load, double current) {
  const Node bus = circuit.node("bus");
  const Node node = circuit.node("switch");
  if (load.constant_current) {
    circuit.add_current_source("load", bus, node, current);
  } else {
    add_series(circuit, "load", bus, node, load.resistance, load.inductance, current);
  }
}

/// Forward voltage of the freewheel junction at the load current; starting there spares the loop a ring [V].
double freewheel_junction_voltage(const LowSideCell& cell, double current) {
  if (!cell.freewheel || current <= 0.0) return 0.0;
  const device::JunctionDiode<>& junction = cell.freewheel->junction;
  return junction.emission_voltage * std::log1p(current / junction.saturation_current);
}

/// Drain voltage of the off-state with the load current in the freewheel diode [V].
double off_state_voltage(const LowSideCell& cell, double current) {
  const double resistive = cell.freewheel ? cell.freewheel->resistance * current : 0.0;
  return cell.supply.voltage + freewheel_junction_voltage(cell, current) + resistive;
}

void add_freewheel(Circuit& circuit, const FreewheelDiode& diode, double current, double junction_voltage) {
  const Node anode = circuit.node("anode");
  const Node bus = circuit.node("bus");
  add_series(circuit, "freewheel", circuit.node("switch"), anode, diode.resistance, diode.inductance, current);
  circuit.add_diode("freewheel diode", anode, bus, diode.junction, current);
  circuit.add_capacitor("freewheel capacitance", bus, anode, diode.capacitance, -junction_voltage);
}

void add_mosfet(Circuit& circuit, const device::Mosfet<>& mosfet, double drain_voltage, double gate_voltage) {
  const Node gate = circuit.node("gate_die");
  const Node drain = circuit.node("drain_die");
  const Node source = circuit.node("source_die");
  add_series(circuit, "gate lead", circuit.node("gate"), gate, mosfet.internal_gate_resistance, mosfet.gate_inductance);
  add_series(circuit, "drain lead", circuit.node("drain"), drain, mosfet.drift_resistance, mosfet.drain_inductance);
  circuit.add_inductor("source lead inductance", source, circuit.node("source"), mosfet.source_inductance);
  circuit.add_capacitor("gate-source capacitance", gate, source, mosfet.gate_source, gate_voltage);
  circuit.add_capacitor("drain-source capacitance", drain, source, mosfet.drain_source, drain_voltage);
  circuit.add_capacitor("gate-drain capacitance", drain, gate, mosfet.gate_drain, drain_voltage - gate_voltage);
  if (mosfet.gate_drain_step)
    circuit.add_capacitor("gate-drain step capacitance", drain, gate, *mosfet.gate_drain_step,
                          drain_voltage - gate_voltage);
  if (mosfet.drain_source_step)
    circuit.add_capacitor("drain-source step capacitance", drain, source, *mosfet.drain_source_step, drain_voltage);
  circuit.add_channel("channel", gate, drain, source, mosfet.channel);
  circuit.add_diode("body diode", source, drain, mosfet.body_diode);
  circuit.add_knee("breakdown", drain, source, mosfet.breakdown);
}

void add_driver(Circuit& circuit, const PushPullDriver& driver, const GatePath& gate) {
  const Node supply = circuit.node("driver supply");
  const Node off = circuit.node("driver off rail");
  const Node output = circuit.node("driver output");
  const Node wire = circuit.node("gate wire");
  const Node pin = circuit.node("gate");
  circuit.add_voltage_source("driver supply", supply, Node::ground, driver.supply_voltage);
  circuit.add_voltage_source("driver off supply", off, Node::ground, driver.off_voltage);
  const InputIndex command = circuit.add_input(gate_command_input, PiecewiseLinear(0.0));
  circuit.add_driver("driver", supply, output, off, command, driver.output, driver.supply_voltage - driver.off_voltage);
  circuit.add_resistor("gate resistor", output, wire, gate.turn_on_resistance);
  if (gate.steering) circuit.add_knee("turn-off gate branch", wire, output, *gate.steering);
  circuit.add_inductor("gate wiring inductance", wire, pin, gate.inductance);
  if (gate.pull_down_resistance)
    circuit.add_resistor("gate pull-down", pin, circuit.node("source"), *gate.pull_down_resistance);
}

void add_wiring(Circuit& circuit, const LowSideCell& cell, double drain_voltage) {
  add_series(circuit, "loop", circuit.node("switch"), circuit.node("drain"), cell.wiring.loop_resistance,
             cell.wiring.loop_inductance);
  circuit.add_inductor("common source inductance", circuit.node("source"), Node::ground,
                       cell.wiring.common_source_inductance);
  if (!cell.snubber) return;
  const Node middle = circuit.node("snubber middle");
  circuit.add_resistor("snubber resistor", circuit.node("drain"), middle, cell.snubber->resistance);
  circuit.add_capacitor("snubber capacitor", middle, circuit.node("source"),
                        device::ConstantCapacitance<>{cell.snubber->capacitance}, drain_voltage);
}

}  // namespace

Circuit build(const LowSideCell& cell, double load_current) {
  const double current = cell.load.constant_current.value_or(load_current);
  if (current != 0.0 && !cell.freewheel) {
    throw std::invalid_argument("an inductive load current of " + std::to_string(current) +
                                " A has no freewheel path when the switch is off: add a freewheel diode from the "
                                "switch node to the bus (the body diode of a low-side switch does not give one)");
  }
  Circuit circuit;
  add_supply(circuit, cell.supply);
  add_load(circuit, cell.load, current);
  if (cell.freewheel) {
    add_freewheel(circuit, *cell.freewheel, current, freewheel_junction_voltage(cell, current));
  }
  const double drain_voltage = off_state_voltage(cell, current);
  add_mosfet(circuit, cell.mosfet, drain_voltage, cell.driver.off_voltage);
  add_driver(circuit, cell.driver, cell.gate);
  add_wiring(circuit, cell, drain_voltage);
  return circuit;
}

}  // namespace gateswing::network
