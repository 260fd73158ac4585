#include "gateswing/network/low_side_cell.h"

#include <stdexcept>
#include <string>

namespace gateswing::network {
namespace {

/// Drain voltage of the off-state with the load current in the freewheel diode [V].
double off_state_voltage(const LowSideCell& cell, double current) {
  if (!cell.freewheel) return cell.supply.voltage;
  return cell.supply.voltage + junction_voltage(cell.freewheel->junction, current) +
         cell.freewheel->resistance * current;
}

void add_wiring(Circuit& circuit, const Wiring& wiring) {
  add_series(circuit, "loop", circuit.node("switch"), circuit.node("drain"), wiring.loop_resistance,
             wiring.loop_inductance);
  circuit.add_inductor("common source inductance", circuit.node("source"), Node::ground,
                       wiring.common_source_inductance);
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
  const Node bus = circuit.node("bus");
  const Node node = circuit.node("switch");
  add_load(circuit, cell.load, bus, node, current);
  if (cell.freewheel) add_freewheel(circuit, "freewheel", *cell.freewheel, node, bus, current);
  const double drain_voltage = off_state_voltage(cell, current);
  const MosfetPins pins{circuit.node("drain"), circuit.node("gate"), circuit.node("source")};
  add_mosfet(circuit, "", cell.mosfet, pins, {drain_voltage, cell.driver.off_voltage});
  add_driver(circuit, "", cell.driver, cell.gate, Node::ground, pins);
  add_wiring(circuit, cell.wiring);
  if (cell.snubber) add_snubber(circuit, "snubber", *cell.snubber, pins.drain, pins.source, drain_voltage);
  return circuit;
}

}  // namespace gateswing::network
