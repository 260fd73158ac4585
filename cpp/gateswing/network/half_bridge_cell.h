// Half bridge: two MOSFETs between bus and ground, the load at the node between them, a driver for each.
#pragma once

#include <optional>
#include <string>

#include "gateswing/network/cell_parts.h"
#include "gateswing/network/cooling.h"

namespace gateswing::network {

enum class Side { high, low };

/// What the names of a side's elements and nodes begin with.
inline std::string prefix(Side side) {  // NOLINT(modernize-use-string-view): names are built on it
  return side == Side::high ? "high " : "low ";
}

/// Of a side's drain pin.
inline std::string drain_node(Side side) {
  return side == Side::high ? prefix(side) + names::drain : names::switch_node;
}

/// Of the reference of a side's driver.
inline names::Name reference_node(Side side) {
  return side == Side::high ? names::switch_node : names::ground;
}

inline Side opposite(Side side) {
  return side == Side::high ? Side::low : Side::high;
}

/// One MOSFET of the bridge with what belongs to it alone.
struct BridgeSwitch {
  device::Mosfet<> mosfet;
  PushPullDriver driver;
  GatePath gate;
  std::optional<FreewheelDiode> diode;        ///< anti-parallel, from source pin to drain pin
  std::optional<Snubber> snubber;             ///< from drain pin to source pin
  double common_source_inductance = 0.0;      ///< source pin to the reference of the driver [H]
  std::optional<CooledMosfet> cooled_mosfet;  ///< its junction is found with the steady state
  std::optional<CooledDiode> cooled_diode;    ///< likewise; needs an anti-parallel diode
};

/// What a converter feeds, or draws from, through the load: that is its inductor then.
struct Output {
  std::optional<double> voltage;      ///< of a stiff source, positive at the load [V]; else a resistor and a capacitor
  double resistance = 0.0;            ///< [ohm], > 0
  double capacitance = 0.0;           ///< across the resistor [F]; 0 leaves it out
  double capacitor_resistance = 0.0;  ///< equivalent series resistance of the capacitor [ohm]
};

/// Capacitor that feeds the driver of the high side, recharged through a diode while the switch node is low.
struct Bootstrap {
  double supply_voltage = 0.0;  ///< against ground [V]
  FreewheelDiode diode;         ///< from that supply to the capacitor
  double resistance = 0.0;      ///< in series with the diode [ohm]
  double capacitance = 0.0;     ///< [F], > 0
};

/// Where the load current returns to.
enum class LoadReturn { ground, bus, midpoint };

names::Name return_node(LoadReturn end);

struct HalfBridgeCell {
  Supply supply;
  BridgeSwitch high;                            ///< its driver's reference is the switch node
  BridgeSwitch low;                             ///< its driver's reference is ground
  Load load;                                    ///< from the switch node; its current counts positive out of that node
  LoadReturn load_return = LoadReturn::ground;  ///< the midpoint is a stiff source of half the supply voltage
  std::optional<Output> output;                 ///< between the load and where it returns to
  /// Takes the place of the supply of the high side's driver, whose on-state draw at rest it then gives, on and off.
  std::optional<Bootstrap> bootstrap;
  double loop_inductance = 0.0;  ///< bus to the drain pin of the high side [H]
  double loop_resistance = 0.0;  ///< [ohm]

  [[nodiscard]] const BridgeSwitch& at(Side side) const { return side == Side::high ? high : low; }
  [[nodiscard]] BridgeSwitch& at(Side side) { return side == Side::high ? high : low; }
};

/// Circuit of the bridge with the switch `on` held on by its driver and carrying `load_current` [A], the other one off.
///
/// Nodes: supply, bus, switch, "high drain", and of each side, after its prefix, gate, source, gate_die, drain_die,
/// source_die; the low side's drain pin is the switch node; the output is between the node of that name and the return.
/// The whole loop inductance lies in the upper branch: it is in series with both switches, and the load current that
/// divides it is slow. Throws std::invalid_argument as cell_checks.h.
Circuit build(const HalfBridgeCell& cell, double load_current, Side on);

}  // namespace gateswing::network
