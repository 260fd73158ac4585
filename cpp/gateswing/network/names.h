// Names of the cells' elements and nodes, each defined once: builders give them, and ledgers and probes are searched
// for them.
#pragma once

#include <string>

namespace gateswing::network::names {

using Name = const char*;

// Parts, with whose names those of their elements begin.
inline constexpr Name supply = "supply";
inline constexpr Name bulk = "bulk";
inline constexpr Name loop = "loop";
inline constexpr Name freewheel = "freewheel";
inline constexpr Name anti_parallel = "anti-parallel";
inline constexpr Name bootstrap = "bootstrap";
inline constexpr Name snubber = "snubber";
inline constexpr Name rcd_clamp = "clamp";
inline constexpr Name gate_lead = "gate lead";
inline constexpr Name drain_lead = "drain lead";
inline constexpr Name load = "load";
inline constexpr Name choke = "choke";

inline std::string resistance_of(const std::string& part) {
  return part + " resistance";
}
inline std::string inductance_of(const std::string& part) {
  return part + " inductance";
}
inline std::string diode_of(const std::string& part) {
  return part + " diode";
}
inline std::string resistor_of(const std::string& part) {
  return part + " resistor";
}

/// The two conducting branches of a driver's output, whose heat is the driver's.
inline std::string upper_of(const std::string& driver) {
  return driver + ".upper";
}
inline std::string lower_of(const std::string& driver) {
  return driver + ".lower";
}

// Elements of a MOSFET.
inline constexpr Name channel = "channel";
inline constexpr Name drift_region = "drift region";
inline constexpr Name body_diode = "body diode";
inline constexpr Name breakdown = "breakdown";
inline constexpr Name gate_source_capacitance = "gate-source capacitance";
inline constexpr Name gate_drain_capacitance = "gate-drain capacitance";
inline constexpr Name gate_drain_step_capacitance = "gate-drain step capacitance";
inline constexpr Name drain_source_capacitance = "drain-source capacitance";
inline constexpr Name drain_source_step_capacitance = "drain-source step capacitance";

// Elements between a driver and its gate.
inline constexpr Name driver = "driver";
inline constexpr Name driver_supply = "driver supply";  ///< also the node of the positive rail
inline constexpr Name driver_off_supply = "driver off supply";
inline constexpr Name driver_at_rest = "driver at rest";  ///< in a ledger: what the driver draws then
inline constexpr Name gate_command = "gate command";      ///< among the circuit's inputs
inline constexpr Name gate_resistor = "gate resistor";
inline constexpr Name turn_off_gate_branch = "turn-off gate branch";
inline constexpr Name gate_pull_down = "gate pull-down";

// Elements of a cell.
inline constexpr Name bus_supply = "bus supply";
inline constexpr Name bootstrap_supply = "bootstrap supply";
inline constexpr Name drain_source_clamp = "drain-source clamp";
inline constexpr Name drain_gate_clamp = "drain-gate clamp";
inline constexpr Name load_core_resistance = "load core resistance";
inline constexpr Name load_back_emf = "load back-EMF";
inline constexpr Name load_junctions = "load junctions";
inline constexpr Name output_resistor = "output resistor";
inline constexpr Name output_capacitor_resistance = "output capacitor resistance";

// Nodes.
inline constexpr Name ground = "ground";
inline constexpr Name bus = "bus";
inline constexpr Name switch_node = "switch";
inline constexpr Name midpoint = "midpoint";
inline constexpr Name output = "output";
inline constexpr Name drain = "drain";
inline constexpr Name gate = "gate";
inline constexpr Name source = "source";
inline constexpr Name drain_die = "drain_die";
inline constexpr Name gate_die = "gate_die";
inline constexpr Name source_die = "source_die";
inline constexpr Name substrate = "substrate";
inline constexpr Name driver_output = "driver output";

/// Between a series resistance and its inductance.
inline std::string middle_of(const std::string& part) {
  return part + " middle";
}
/// Of a diode, behind its leads.
inline std::string anode_of(const std::string& part) {
  return part + " anode";
}

// The circuit of a diode's recovery.
inline constexpr Name anode = "anode";
inline constexpr Name part_current = "part current";

}  // namespace gateswing::network::names
