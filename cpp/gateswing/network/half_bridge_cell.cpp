#include "gateswing/network/half_bridge_cell.h"

#include "gateswing/network/cell_checks.h"

namespace gateswing::network {
namespace {

MosfetPins pins_of(Circuit& circuit, Side side) {
  const Node drain = circuit.node(drain_node(side));
  return {drain, circuit.node(prefix(side) + names::gate), circuit.node(prefix(side) + names::source)};
}

/// What the driver draws at rest is a resistor, so that the capacitor gives it.
void add_bootstrap(Circuit& circuit, const Bootstrap& bootstrap, const PushPullDriver& driver, double switch_voltage) {
  const Node rail = circuit.node("bootstrap rail");
  const Node top = circuit.node(prefix(Side::high) + names::driver_supply);
  FreewheelDiode diode = bootstrap.diode;
  diode.resistance += bootstrap.resistance;
  circuit.add_voltage_source(names::bootstrap_supply, rail, Node::ground, bootstrap.supply_voltage);
  add_freewheel(circuit, names::bootstrap, diode, rail, top, 0.0,
                driver.supply_voltage + switch_voltage - bootstrap.supply_voltage);
  circuit.add_capacitor("bootstrap capacitor", top, circuit.node(names::switch_node),
                        device::ConstantCapacitance<>{bootstrap.capacitance}, driver.supply_voltage);
  if (driver.on_state_power > 0.0)
    circuit.add_resistor(prefix(Side::high) + names::driver_at_rest, top, circuit.node(names::switch_node),
                         driver.supply_voltage * driver.supply_voltage / driver.on_state_power);
}

void add_output(Circuit& circuit, const Output& output, Node end, double current) {
  const Node node = circuit.node(names::output);
  if (output.voltage) return circuit.add_voltage_source("output", node, end, *output.voltage);
  circuit.add_resistor(names::output_resistor, node, end, output.resistance);
  if (output.capacitance == 0.0) return;
  const Node inner = circuit.node("output capacitor terminal");
  circuit.add_resistor(names::output_capacitor_resistance, node, inner, output.capacitor_resistance);
  circuit.add_capacitor("output capacitor", inner, end, device::ConstantCapacitance<>{output.capacitance},
                        output.resistance * current);
}

void add_switch(Circuit& circuit, Side side, const BridgeSwitch& part, bool fed, const MosfetStart& start,
                SwitchState state) {
  const MosfetPins pins = pins_of(circuit, side);
  const Node reference = circuit.node(reference_node(side));
  const double across = pin_voltage(part.mosfet, start);
  add_mosfet(circuit, prefix(side), part.mosfet, pins, start);
  (fed ? add_fed_driver : add_driver)(circuit, prefix(side), part.driver, part.gate, reference, pins, state);
  circuit.add_inductor(prefix(side) + "common source inductance", pins.source, reference, part.common_source_inductance,
                       start.drain_current);
  if (part.diode)
    add_freewheel(circuit, prefix(side) + names::anti_parallel, *part.diode, pins.source, pins.drain, 0.0, across);
  if (part.snubber) add_snubber(circuit, prefix(side) + names::snubber, *part.snubber, pins.drain, pins.source, across);
}

Node load_end(Circuit& circuit, const HalfBridgeCell& cell) {
  const Node end = circuit.node(return_node(cell.load_return));
  if (cell.load_return == LoadReturn::midpoint)
    circuit.add_voltage_source("midpoint supply", end, Node::ground, 0.5 * cell.supply.voltage);
  return end;
}

/// With a bootstrap the high side's driver starts at the voltage to which that charges without a load.
BridgeSwitch fed_switch(const HalfBridgeCell& cell, Side side) {
  BridgeSwitch part = cell.at(side);
  if (side == Side::high && cell.bootstrap) part.driver.supply_voltage = cell.bootstrap->supply_voltage;
  return part;
}

}  // namespace

names::Name return_node(LoadReturn end) {
  if (end == LoadReturn::ground) return names::ground;
  return end == LoadReturn::bus ? names::bus : names::midpoint;
}

Circuit build(const HalfBridgeCell& cell, double load_current, Side on) {
  require_valid(cell);
  const double high_current = on == Side::high ? load_current : 0.0;
  const double from_supply = high_current - (cell.load_return == LoadReturn::bus ? load_current : 0.0);
  const BridgeSwitch conductor = fed_switch(cell, on);
  const BridgeSwitch blocker = fed_switch(cell, opposite(on));
  const auto fed = [&](Side side) { return side == Side::high && cell.bootstrap.has_value(); };
  const MosfetStart carries =
      conducting(conductor.mosfet, conductor.driver, on == Side::high ? load_current : -load_current);
  const double across_conductor = pin_voltage(conductor.mosfet, carries);
  const double bus = cell.supply.voltage - cell.supply.resistance * from_supply;
  const MosfetStart blocks{bus - cell.loop_resistance * high_current - across_conductor, blocker.driver.off_voltage,
                           0.0};
  Circuit circuit;
  add_supply(circuit, cell.supply, from_supply);
  add_series(circuit, names::loop, circuit.node(names::bus), circuit.node(drain_node(Side::high)), cell.loop_resistance,
             cell.loop_inductance, high_current);
  add_switch(circuit, on, conductor, fed(on), carries, SwitchState::on);
  add_switch(circuit, opposite(on), blocker, fed(opposite(on)), blocks, SwitchState::off);
  if (cell.bootstrap)
    add_bootstrap(circuit, *cell.bootstrap, fed_switch(cell, Side::high).driver,
                  on == Side::high ? blocks.drain_source : across_conductor);
  const Node end = load_end(circuit, cell);
  if (cell.output) add_output(circuit, *cell.output, end, load_current);
  add_load(circuit, cell.load, circuit.node(names::switch_node), cell.output ? circuit.node(names::output) : end,
           load_current);
  return circuit;
}

}  // namespace gateswing::network
