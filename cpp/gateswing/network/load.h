// What a switch switches: resistance and inductance in series, what runs against their current, and how it enters a
// circuit.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "gateswing/device/junction_diode.h"
#include "gateswing/network/circuit.h"
#include "gateswing/network/names.h"

namespace gateswing::network {

/// Equal junctions in series as one: n times their voltage at the same current, an n-th of their capacitance.
struct LedString {
  device::JunctionDiode<> junction;  ///< emission voltage of all of them together; no recovery
  /// Of all in series [F], > 0: a junction that blocks ties the node between it and an inductance to nothing else.
  double capacitance = 0.0;
};

/// Series R-L load with what opposes its current, or a clamped inductive load so large that its current stays constant.
struct Load {
  double resistance = 0.0;                                ///< [ohm]
  double inductance = 0.0;                                ///< [H]
  std::optional<double> constant_current = std::nullopt;  ///< replaces everything else [A]
  std::optional<double> back_emf = std::nullopt;          ///< of a motor, against the current from the bus [V]
  std::optional<LedString> leds = std::nullopt;           ///< in series
  std::optional<double> core_resistance = std::nullopt;   ///< across the inductance: eddy currents [ohm], > 0
};

/// From a to b, carrying `current` [A] in that direction. Elements are "load" for a constant current; else "load
/// resistance", "load inductance" and, where given, "load core resistance", "load back-EMF", "load junctions", "load
/// junction capacitance".
void add_load(Circuit& circuit, const Load& load, Node a, Node b, double current);

/// Whether an element of that name, in a ledger, is part of the load.
inline bool belongs_to_load(std::string_view element) {
  return element.starts_with(names::load);
}

/// The branch whose current is that of the whole load.
std::string load_current_branch(const Load& load);

/// What stands against a load current beside resistance and inductance: back-EMF and forward voltage of the LEDs [V].
double opposing_voltage(const Load& load, double current);

/// Current [A] that the load settles at across a constant voltage [V], at least 0: V = R i + opposing_voltage(i).
/// Requires a resistance above zero and no constant current.
double settled_current(const Load& load, double voltage);

}  // namespace gateswing::network
