// The losses of a half bridge's period by what causes them.
#pragma once

#include <span>
#include <string_view>
#include <vector>

#include "gateswing/measure/window.h"
#include "gateswing/network/half_bridge_cell.h"
#include "gateswing/study/loss_causes.h"

namespace gateswing::study {

/// When a side's driver is commanded on within the cycle that begins with that, at its output; all in [s].
struct SideCycle {
  double on = 0.0;
  double off = 0.0;
  double end = 0.0;  ///< a period after `on`
};

struct BridgeRecord {
  const waveform::Waveform& waveform;  ///< channels of half_bridge_channels.h
  SideCycle high;
  SideCycle low;
  double bus_voltage = 0.0;  ///< mean [V]
  bool has_output = false;   ///< behind the load, whose resistance then is a loss

  [[nodiscard]] const SideCycle& at(network::Side side) const { return side == network::Side::high ? high : low; }
};

/// Whether the heat of an element is what the bridge is there for: that of the output, or of a load without one.
bool is_useful(std::string_view element, bool has_output);

/// Sorts the heat of a period as losses_by_cause() does for a low-side cell. The rows add up to the dissipated entries
/// of the ledger but for the load or output.
///
/// Each channel's heat, less what passes both channels at once, is split by v_DS of its own switch: conduction below
/// 10 % of the bus, in either direction of current; above, turn-on while its driver is commanded on, else turn-off. Of
/// the turn-on, with i_C the current into the capacitances at a drain and o the other side,
///
///   output capacitance   integral of v_DS (i_C,o - i_C)
///   recovery             integral of v_DS times the reverse current of the other side's junctions
///   turn-on              what remains: load current, snubber, wiring
///
/// A switch that is commanded on and never gets below 10 % has incomplete switching in the place of all three and of
/// the turn-off. The heat of a junction is recovery where its current flows backward, else conduction: that of a dead
/// time. Common practice without a standard.
std::vector<CauseEnergy> bridge_losses(const BridgeRecord& record, std::span<const network::EnergyEntry> ledger);

}  // namespace gateswing::study
