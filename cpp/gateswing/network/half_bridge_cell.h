// Half bridge: two MOSFETs between bus and ground, the load at the node between them, a driver for each.
#pragma once

#include <optional>
#include <string>

#include "gateswing/network/cell_parts.h"

namespace gateswing::network {

enum class Side { high, low };

/// What the names of a side's elements and nodes begin with.
inline std::string prefix(Side side) {  // NOLINT(modernize-use-string-view): names are built on it
  return side == Side::high ? "high " : "low ";
}

inline Side opposite(Side side) {
  return side == Side::high ? Side::low : Side::high;
}

/// One MOSFET of the bridge with what belongs to it alone.
struct BridgeSwitch {
  device::Mosfet<> mosfet;
  PushPullDriver driver;
  GatePath gate;
  std::optional<FreewheelDiode> diode;    ///< anti-parallel, from source pin to drain pin
  std::optional<Snubber> snubber;         ///< from drain pin to source pin
  double common_source_inductance = 0.0;  ///< source pin to the reference of the driver [H]
};

/// Where the load current returns to.
enum class LoadReturn { ground, bus, midpoint };

struct HalfBridgeCell {
  Supply supply;
  BridgeSwitch high;                            ///< its driver's reference is the switch node
  BridgeSwitch low;                             ///< its driver's reference is ground
  Load load;                                    ///< from the switch node; its current counts positive out of that node
  LoadReturn load_return = LoadReturn::ground;  ///< the midpoint is a stiff source of half the supply voltage
  double loop_inductance = 0.0;                 ///< bus to the drain pin of the high side [H]
  double loop_resistance = 0.0;                 ///< [ohm]

  [[nodiscard]] const BridgeSwitch& at(Side side) const { return side == Side::high ? high : low; }
};

/// Circuit of the bridge with the switch `on` held on by its driver and carrying `load_current` [A], the other one off.
///
/// Nodes: supply, bus, switch, "high drain", and of each side, after its prefix, gate, source, gate_die, drain_die,
/// source_die; the low side's drain pin is the switch node. The whole loop inductance lies in the upper branch: it is
/// in series with both switches, and the load current that divides it is slow.
Circuit build(const HalfBridgeCell& cell, double load_current, Side on);

}  // namespace gateswing::network
