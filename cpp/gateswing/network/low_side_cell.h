// Low-side switching cell: bus, load, freewheel diode, wiring, MOSFET, driver.
#pragma once

#include <optional>

#include "gateswing/network/cell_parts.h"
#include "gateswing/network/cooling.h"

namespace gateswing::network {

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
  std::optional<Clamp> drain_source_clamp;      ///< from drain pin to source pin
  std::optional<Clamp> drain_gate_clamp;        ///< from drain pin to gate pin, turns the MOSFET on; blocks both ways
  std::optional<RcdClamp> rcd_clamp;            ///< from the switch node to the bus, across the load
  std::optional<CooledMosfet> cooled_mosfet;    ///< its junction is found with the steady state
  std::optional<CooledDiode> cooled_freewheel;  ///< likewise; needs a freewheel diode
};

/// Circuit of the cell with `load_current` [A] flowing in the load, and in the freewheel diode (switch off) or in the
/// MOSFET, which its driver holds on.
///
/// Nodes: supply, bus, switch, drain, gate, source, and drain_die, gate_die, source_die inside the package. Throws
/// std::invalid_argument as cell_checks.h, and when the switch is off and an inductive load has no freewheel diode to
/// carry its current: clamps and breakdown carry it only for a moment, which is no state to start from.
Circuit build(const LowSideCell& cell, double load_current, SwitchState state = SwitchState::off);

}  // namespace gateswing::network
