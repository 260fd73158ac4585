// Both commutations of a half bridge at a load current, with a dead time between the commands.
#pragma once

#include "gateswing/network/half_bridge_cell.h"
#include "gateswing/study/commutation.h"
#include "gateswing/study/transient.h"

namespace gateswing::study {

struct HalfBridgeRequest {
  double current = 0.0;  ///< load current when the active switch is told to turn on, out of the switch node [A]
  /// The switch whose edges are looked at. The current of the high one is the load current, that of the low one its
  /// opposite: positive makes the edges hard, negative soft.
  network::Side active = network::Side::high;
  double dead_time = 0.0;  ///< from each command "off" to the other switch's command "on"; negative: overlap [s]
  double on_time = 0.0;    ///< of the active switch [s]; 0 chooses several times the switching time
  double off_time = 0.0;   ///< record after its command "off" [s]; 0 chooses likewise
};

/// The ledger is from the first command to the end; time 0 of the waveform is the logic command "on" of the active
/// switch.
struct HalfBridgeEdges : Transient {
  double current = no_figure;  ///< load current at the command "off" of the active switch [A]
  double on_time = 0.0;        ///< as used [s]
  double off_time = 0.0;       ///< as used [s]
  TurnOnFigures turn_on{};     ///< of the active switch
  TurnOffFigures turn_off{};
  CommutationFigures to_active{};    ///< around the turn-on of the active switch
  CommutationFigures from_active{};  ///< around its turn-off
};

/// Starts with the other switch on and the load current in it. That one is told to turn off at -dead_time, the active
/// one to turn on at 0 and off at on_time, the other one to turn on again at on_time + dead_time.
/// Throws std::invalid_argument for a load that cannot carry the current, and times that do not follow each other.
HalfBridgeEdges half_bridge_edges(const network::HalfBridgeCell& cell, const HalfBridgeRequest& request,
                                  const simulate::Settings& settings);

}  // namespace gateswing::study
