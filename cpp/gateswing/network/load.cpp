#include "gateswing/network/load.h"

#include <algorithm>
#include <cmath>

#include "gateswing/network/cell_parts.h"

namespace gateswing::network {

void add_load(Circuit& circuit, const Load& load, Node a, Node b, double current) {
  if (load.constant_current) {
    circuit.add_current_source(names::load, a, b, current);
    return;
  }
  Node end = b;
  if (load.leds) {
    const Node anode = circuit.node(names::anode_of(names::load));
    circuit.add_diode(names::load_junctions, anode, end, load.leds->junction);
    circuit.add_capacitor("load junction capacitance", anode, end,
                          device::ConstantCapacitance<>{load.leds->capacitance},
                          junction_voltage(load.leds->junction, current));
    end = anode;
  }
  if (load.back_emf) {
    const Node armature = circuit.node("load armature");
    circuit.add_voltage_source(names::load_back_emf, armature, end, *load.back_emf);
    end = armature;
  }
  add_series(circuit, names::load, a, end, load.resistance, load.inductance, current);
  if (load.core_resistance)
    circuit.add_resistor(names::load_core_resistance, circuit.node(names::middle_of(names::load)), end,
                         *load.core_resistance);
}

std::string load_current_branch(const Load& load) {
  if (load.constant_current) return names::load;
  return load.core_resistance ? names::resistance_of(names::load) : names::inductance_of(names::load);
}

double opposing_voltage(const Load& load, double current) {
  return load.back_emf.value_or(0.0) + (load.leds ? junction_voltage(load.leds->junction, current) : 0.0);
}

double settled_current(const Load& load, double voltage) {
  constexpr int halvings = 60;
  double low = 0.0;
  double high = std::max(0.0, (voltage - load.back_emf.value_or(0.0)) / load.resistance);
  if (!load.leds) return high;
  for (int k = 0; k < halvings; ++k) {
    const double middle = 0.5 * (low + high);
    const bool more = load.resistance * middle + opposing_voltage(load, middle) < voltage;
    (more ? low : high) = middle;
  }
  return low;
}

}  // namespace gateswing::network
