#include "gateswing/network/low_side_cell.h"

#include <algorithm>
#include <stdexcept>
#include <string>

#include "gateswing/network/cell_checks.h"
#include "gateswing/network/refusals.h"

namespace gateswing::network {
namespace {

/// Where the load current flows at the start.
struct Start {
  MosfetStart mosfet;
  double pin_voltage = 0.0;        ///< drain to source [V]
  double freewheel_current = 0.0;  ///< [A]
};

Start start_on(const LowSideCell& cell, double current) {
  const MosfetStart mosfet = conducting(cell.mosfet, cell.driver, current);
  return {mosfet, pin_voltage(cell.mosfet, mosfet), 0.0};
}

/// With the load current in the freewheel diode; without current a motor's back-EMF holds the drain below the bus.
Start start_off(const LowSideCell& cell, double current) {
  double voltage = cell.supply.voltage;
  if (current == 0.0) voltage = std::max(0.0, voltage - cell.load.back_emf.value_or(0.0));
  if (cell.freewheel && current != 0.0)
    voltage += junction_voltage(cell.freewheel->junction, current) + cell.freewheel->resistance * current;
  return {{voltage, cell.driver.off_voltage, 0.0}, voltage, current};
}

void require_path(const LowSideCell& cell, double current) {
  if (current == 0.0 || cell.freewheel) return;
  throw std::invalid_argument("an inductive load current of " + text(current) +
                              " A has no freewheel path when the switch is off: add a freewheel diode from the "
                              "switch node to the bus (the body diode of a low-side switch does not give one), or "
                              "start with the switch on");
}

void add_wiring(Circuit& circuit, const Wiring& wiring, double current) {
  add_series(circuit, names::loop, circuit.node(names::switch_node), circuit.node(names::drain), wiring.loop_resistance,
             wiring.loop_inductance, current);
  circuit.add_inductor("common source inductance", circuit.node(names::source), Node::ground,
                       wiring.common_source_inductance, current);
}

void add_clamps(Circuit& circuit, const LowSideCell& cell, const MosfetPins& pins, const Start& start) {
  if (cell.snubber) add_snubber(circuit, names::snubber, *cell.snubber, pins.drain, pins.source, start.pin_voltage);
  if (cell.drain_source_clamp)
    add_clamp(circuit, names::drain_source_clamp, *cell.drain_source_clamp, pins.drain, pins.source, start.pin_voltage);
  if (cell.drain_gate_clamp)
    add_clamp(circuit, names::drain_gate_clamp, *cell.drain_gate_clamp, pins.drain, pins.gate,
              start.pin_voltage - start.mosfet.gate_source);
  if (cell.rcd_clamp)
    add_rcd_clamp(circuit, names::rcd_clamp, *cell.rcd_clamp, circuit.node(names::switch_node),
                  circuit.node(names::bus), cell.supply.voltage - start.pin_voltage);
}

}  // namespace

Circuit build(const LowSideCell& cell, double load_current, SwitchState state) {
  require_valid(cell);
  const bool on = state == SwitchState::on;
  const double current = cell.load.constant_current.value_or(load_current);
  if (!on) require_path(cell, current);
  const Start start = on ? start_on(cell, current) : start_off(cell, current);
  Circuit circuit;
  add_supply(circuit, cell.supply, start.mosfet.drain_current);
  const Node bus = circuit.node(names::bus);
  const Node node = circuit.node(names::switch_node);
  add_load(circuit, cell.load, bus, node, current);
  if (cell.freewheel)
    add_freewheel(circuit, names::freewheel, *cell.freewheel, node, bus, start.freewheel_current,
                  cell.supply.voltage - start.pin_voltage);
  const MosfetPins pins{circuit.node(names::drain), circuit.node(names::gate), circuit.node(names::source)};
  add_mosfet(circuit, "", cell.mosfet, pins, start.mosfet);
  add_driver(circuit, "", cell.driver, cell.gate, Node::ground, pins, state);
  add_wiring(circuit, cell.wiring, start.mosfet.drain_current);
  add_clamps(circuit, cell, pins, start);
  return circuit;
}

}  // namespace gateswing::network
