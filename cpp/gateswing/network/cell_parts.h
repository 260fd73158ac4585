// The parts that switching cells are made of, and how each enters a circuit.
#pragma once

#include <optional>
#include <string>

#include "gateswing/device/capacitance.h"
#include "gateswing/device/driver_output.h"
#include "gateswing/device/junction_diode.h"
#include "gateswing/device/knee_conduction.h"
#include "gateswing/device/mosfet.h"
#include "gateswing/network/circuit.h"
#include "gateswing/network/load.h"
#include "gateswing/network/names.h"

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
  /// Drawn from the rails beside what the gate takes, while the output rests [W]; no element of the circuit.
  double on_state_power = 0.0;
  double off_state_power = 0.0;
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

/// Zener or TVS diode in its blocking direction. Two lead inductances may meet at its ends, so it takes a capacitance
/// to hold their node.
struct Clamp {
  device::KneeConduction<> law;  ///< slope resistance of the breakdown included
  double capacitance = 0.0;      ///< [F], > 0
};

/// Diode into a capacitor with a resistor across it: what the load current charges the capacitor with, the resistor
/// burns until the next time.
struct RcdClamp {
  FreewheelDiode diode;
  double resistance = 0.0;   ///< [ohm], > 0
  double capacitance = 0.0;  ///< [F], > 0
};

/// Resistance and inductance in series from a to b; either may be zero. Its current is that of "<name> inductance".
void add_series(Circuit& circuit, const std::string& name, Node a, Node b, double resistance, double inductance,
                double initial_current = 0.0);

/// Source, cable and bulk capacitor from ground to the node "bus"; `current` [A] flows in the cable at the start.
void add_supply(Circuit& circuit, const Supply& supply, double current = 0.0);

/// Forward voltage of the junction at a forward current; starting there spares a loop its ring [V].
double junction_voltage(const device::JunctionDiode<>& junction, double current);

/// At the start `current` [A] flows forward, or, where that is 0, `reverse_voltage` [V] lies across the junction.
/// Elements are "<name> diode", "<name> capacitance", "<name> resistance", ...
void add_freewheel(Circuit& circuit, const std::string& name, const FreewheelDiode& diode, Node anode, Node cathode,
                   double current, double reverse_voltage = 0.0);

/// The three pins of a package.
struct MosfetPins {
  Node drain;
  Node gate;
  Node source;
};

enum class SwitchState { off, on };

/// Voltages at the die and current of the drain pin at the start.
struct MosfetStart {
  double drain_source = 0.0;   ///< [V]
  double gate_source = 0.0;    ///< [V]
  double drain_current = 0.0;  ///< [A]
};

/// State of a MOSFET that its driver holds on and that carries `drain_current` [A], of either sign. The drop is that of
/// the channel's linear region, within body diode and breakdown: close enough for a run to start from.
MosfetStart conducting(const device::Mosfet<>& mosfet, const PushPullDriver& driver, double drain_current);

/// Drain to source, drift resistance and body diode included, without the leads [V].
double pin_voltage(const device::Mosfet<>& mosfet, const MosfetStart& start);

/// Names of elements and of the nodes drain_die, gate_die, source_die and substrate begin with `prefix`, "" or "high ",
/// "low ", ... The drift region lies between substrate and drain_die, the body diode between source_die and substrate:
/// its carriers flood the drift region, so that its current does not pass the resistance which the channel's does
/// (device/mosfet.h).
void add_mosfet(Circuit& circuit, const std::string& prefix, const device::Mosfet<>& mosfet, const MosfetPins& pins,
                const MosfetStart& start);

/// Driver with rails against `reference`, and the path from its output to the gate pin. Names begin with `prefix`; the
/// input is "<prefix>gate command". The output starts at the rail of `state`.
void add_driver(Circuit& circuit, const std::string& prefix, const PushPullDriver& driver, const GatePath& gate,
                Node reference, const MosfetPins& pins, SwitchState state = SwitchState::off);

/// The same without the source of its positive rail, the node "<prefix>driver supply": something else feeds that.
void add_fed_driver(Circuit& circuit, const std::string& prefix, const PushPullDriver& driver, const GatePath& gate,
                    Node reference, const MosfetPins& pins, SwitchState state);

/// From drain to source pin, charged to `voltage` [V].
void add_snubber(Circuit& circuit, const std::string& name, const Snubber& snubber, Node a, Node b, double voltage);

/// Blocks from `plus` to `minus` up to its knee; charged to `voltage` [V].
void add_clamp(Circuit& circuit, const std::string& name, const Clamp& clamp, Node plus, Node minus, double voltage);

/// From a to b, its capacitor empty, `reverse_voltage` [V] across its diode.
void add_rcd_clamp(Circuit& circuit, const std::string& name, const RcdClamp& clamp, Node a, Node b,
                   double reverse_voltage);

}  // namespace gateswing::network
