#include "gateswing/network/half_bridge_cell.h"

namespace gateswing::network {
namespace {

MosfetPins pins_of(Circuit& circuit, Side side) {
  const Node drain = circuit.node(side == Side::high ? "high drain" : "switch");
  return {drain, circuit.node(prefix(side) + "gate"), circuit.node(prefix(side) + "source")};
}

Node driver_reference(Circuit& circuit, Side side) {
  return side == Side::high ? circuit.node("switch") : Node::ground;
}

void add_switch(Circuit& circuit, Side side, const BridgeSwitch& part, const MosfetStart& start, SwitchState state) {
  const MosfetPins pins = pins_of(circuit, side);
  const Node reference = driver_reference(circuit, side);
  const double pin_voltage = start.drain_source + part.mosfet.drift_resistance * start.drain_current;
  add_mosfet(circuit, prefix(side), part.mosfet, pins, start);
  add_driver(circuit, prefix(side), part.driver, part.gate, reference, pins, state);
  circuit.add_inductor(prefix(side) + "common source inductance", pins.source, reference, part.common_source_inductance,
                       start.drain_current);
  if (part.diode)
    add_freewheel(circuit, prefix(side) + "anti-parallel", *part.diode, pins.source, pins.drain, 0.0, pin_voltage);
  if (part.snubber) add_snubber(circuit, prefix(side) + "snubber", *part.snubber, pins.drain, pins.source, pin_voltage);
}

Node load_end(Circuit& circuit, const HalfBridgeCell& cell) {
  if (cell.load_return == LoadReturn::ground) return Node::ground;
  if (cell.load_return == LoadReturn::bus) return circuit.node("bus");
  const Node midpoint = circuit.node("midpoint");
  circuit.add_voltage_source("midpoint supply", midpoint, Node::ground, 0.5 * cell.supply.voltage);
  return midpoint;
}

}  // namespace

Circuit build(const HalfBridgeCell& cell, double load_current, Side on) {
  const double high_current = on == Side::high ? load_current : 0.0;
  const double from_supply = high_current - (cell.load_return == LoadReturn::bus ? load_current : 0.0);
  const BridgeSwitch& conductor = cell.at(on);
  const BridgeSwitch& blocker = cell.at(opposite(on));
  const MosfetStart carries =
      conducting(conductor.mosfet, conductor.driver, on == Side::high ? load_current : -load_current);
  const double across_conductor = carries.drain_source + conductor.mosfet.drift_resistance * carries.drain_current;
  const double bus = cell.supply.voltage - cell.supply.resistance * from_supply;
  const MosfetStart blocks{bus - cell.loop_resistance * high_current - across_conductor, blocker.driver.off_voltage,
                           0.0};
  Circuit circuit;
  add_supply(circuit, cell.supply, from_supply);
  add_series(circuit, "loop", circuit.node("bus"), circuit.node("high drain"), cell.loop_resistance,
             cell.loop_inductance, high_current);
  add_switch(circuit, on, conductor, carries, SwitchState::on);
  add_switch(circuit, opposite(on), blocker, blocks, SwitchState::off);
  add_load(circuit, cell.load, circuit.node("switch"), load_end(circuit, cell), load_current);
  return circuit;
}

}  // namespace gateswing::network
