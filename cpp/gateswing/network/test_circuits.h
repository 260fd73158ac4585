// The circuits in which a single part is tested: gate charge, reverse recovery, unclamped inductive switching.
#pragma once

#include <variant>

#include "gateswing/network/cell_parts.h"

namespace gateswing::network {

/// Constant current into the gate, and a constant load current that a stiff clamp takes over while the channel does not
/// (JESD24-2, as second parties describe it). Starts with the gate at 0 V and the drain pin at the clamp. Drain and
/// source lead are left out: beside an ideal clamp they would only ring, for the whole of a slow sweep.
struct GateChargeCircuit {
  device::Mosfet<> mosfet;
  double drain_voltage = 0.0;  ///< of the clamp, at the pin [V], > 0
  double drain_current = 0.0;  ///< of the load [A], > 0
  double gate_current = 0.0;   ///< [A], > 0
};

/// A forced ramp of current, forward_current - current_slope t from t = 0 on, through a diode; a clamp beside the diode
/// takes the ramp over once the diode blocks at reverse_voltage. The part is a freewheel diode or the body diode of a
/// MOSFET with gate and source joined; its leads are left out, so that the clamp holds the die itself and the diode
/// alone decides how its current dies.
struct RecoveryCircuit {
  std::variant<device::Mosfet<>, FreewheelDiode> part;
  double forward_current = 0.0;  ///< before the ramp [A], > 0
  double current_slope = 0.0;    ///< by which it falls [A/s], > 0
  double reverse_voltage = 0.0;  ///< of the clamp [V], > 0
};

/// A choke that nothing but the breakdown of the MOSFET discharges (unclamped inductive switching, JESD24-5, title from
/// memory). Starts with the MOSFET on and `current` in the choke; the generator begins to fall at t = 0. Drain and
/// source lead are left out beside the choke.
struct AvalancheCircuit {
  device::Mosfet<> mosfet;
  double supply_voltage = 0.0;   ///< [V], >= 0
  double inductance = 0.0;       ///< of the choke [H], > 0
  double resistance = 0.0;       ///< in series with it [ohm]
  double current = 0.0;          ///< at t = 0 [A], > 0
  double gate_voltage = 0.0;     ///< on-state level of the generator; its off-state level is 0 [V]
  double gate_resistance = 0.0;  ///< generator to gate pin [ohm]
  double fall_time = 0.0;        ///< of the generator [s], > 0
};

/// Nodes drain, gate, and those of add_mosfet(); elements "load", "clamp", "gate source".
Circuit build(const GateChargeCircuit& test);

/// Node anode, the cathode at ground; elements "ramp", "clamp", and "part current", forward through the part. Ends the
/// ramp at `end` [s].
Circuit build(const RecoveryCircuit& test, double end);

/// Nodes bus, drain, gate; elements "supply", "choke resistance", "choke inductance", "generator", "gate resistor".
Circuit build(const AvalancheCircuit& test);

}  // namespace gateswing::network
