// Low-side switching cell: bus, load, freewheel diode, wiring, MOSFET, driver.
#pragma once

#include <optional>

#include "gateswing/device/capacitance.h"
#include "gateswing/device/driver_output.h"
#include "gateswing/device/junction_diode.h"
#include "gateswing/device/knee_conduction.h"
#include "gateswing/device/mosfet.h"
#include "gateswing/network/circuit.h"

namespace gateswing::network {

/// Supply and its bulk capacitor. Any impedance may be zero; a bulk capacitance of zero leaves the branch out.
struct Supply {
  double voltage = 0.0;           ///< [V]
  double resistance = 0.0;        ///< source and cable [ohm]
  double inductance = 0.0;        ///< source and cable [H]
  double bulk_capacitance = 0.0;  ///< [F]
  double bulk_resistance = 0.0;   ///< equivalent series resistance of the bulk capacitor [ohm]
  double bulk_inductance = 0.0;   ///< equivalent series inductance of the bulk capacitor [H]
};

/// Push-pull driver with its rails.
struct PushPullDriver {
  device::DriverOutput<> output;
  double supply_voltage = 0.0;  ///< on-state rail against the driver reference [V]
  double off_voltage = 0.0;     ///< off-state rail, zero or negative [V]
  CommandTiming timing;
};

/// Between driver output and gate pin.
struct GatePath {
  double turn_on_resistance = 0.0;  ///< always in the path [ohm]
  /// Steering diode with its series resistor, conducting from the gate to the driver output; its slope resistance holds
  /// both. Absent: the turn-on resistor serves both ways.
  std::optional<device::KneeConduction<>> steering;
  double inductance = 0.0;                     ///< wiring of the gate loop outside the package [H]
  std::optional<double> pull_down_resistance;  ///< gate pin to source pin [ohm]
};

/// Series R-L load, or a clamped inductive load so large that its current stays constant.
struct Load {
  double resistance = 0.0;                 ///< [ohm]
  double inductance = 0.0;                 ///< [H]
  std::optional<double> constant_current;  ///< replaces resistance and inductance [A]
};

/// Freewheel diode from the switch node to the bus.
struct FreewheelDiode {
  device::JunctionDiode<> junction;
  device::DepletionCapacitance<> capacitance;  ///< of the reverse voltage
  double resistance = 0.0;                     ///< series [ohm]
  double inductance = 0.0;                     ///< leads [H]
};

/// Series R-C from drain pin to source pin.
struct Snubber {
  double resistance = 0.0;   ///< [ohm]
  double capacitance = 0.0;  ///< [F], > 0
};

/// Layout: power loop and the inductance that power and gate loop share outside the package.
struct Wiring {
  double loop_inductance = 0.0;           ///< switch node to drain pin [H]
  double loop_resistance = 0.0;           ///< [ohm]
  double common_source_inductance = 0.0;  ///< source pin to the ground both loops share [H]
};

struct LowSideCell {
  Supply supply;
  device::Mosfet<> mosfet;
  PushPullDriver driver;
  GatePath gate;
  Load load;
  std::optional<FreewheelDiode> freewheel;
  std::optional<Snubber> snubber;
  Wiring wiring;
};

/// Name of the driver command among the circuit's inputs.
inline constexpr const char* gate_command_input = "gate command";

/// Circuit of the cell with the switch off and `load_current` [A] flowing in the load and the freewheel diode.
///
/// Nodes: supply, bus, switch, drain, gate, source, and drain_die, gate_die, source_die inside the package. Throws
/// std::invalid_argument when an inductive load has no freewheel path and no current can go.
Circuit build(const LowSideCell& cell, double load_current);

}  // namespace gateswing::network
