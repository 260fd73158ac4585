// Turn-off of an inductive load current into whatever holds the voltage: breakdown, clamps, freewheel diode.
#pragma once

#include "gateswing/network/low_side_cell.h"
#include "gateswing/study/edge_figures.h"
#include "gateswing/study/transient.h"

namespace gateswing::study {

struct InductiveTurnOffRequest {
  double current = 0.0;          ///< in load and MOSFET when it is told to turn off, > 0 [A]
  double remaining_share = 0.1;  ///< of the current, at which the load counts as released; between 0 and 1
};

/// The ledger is from the command to the end; time 0 of the waveform is the command.
struct InductiveTurnOff : Transient {
  double release_time = no_figure;          ///< command to load current at the remaining share [s]
  double peak_drain_voltage = no_figure;    ///< at the die [V]
  double plateau_voltage = no_figure;       ///< v_DS at the die, averaged over the charge of the load current [V]
  double maximum_gate_voltage = no_figure;  ///< at the die, after the load has turned the drain to its plateau [V]
  double breakdown_energy = no_figure;      ///< avalanche in the MOSFET [J]
  double channel_energy = no_figure;        ///< turn-off and active clamping [J]
  double clamp_energy = no_figure;          ///< clamps, RCD clamp and freewheel diode [J]
  double load_energy = no_figure;           ///< heat in the load [J]
  double release_time_by_hand = no_figure;  ///< at the plateau voltage, of a constant voltage, see Release [s]
  double energy_by_hand = no_figure;        ///< absorbed at the plateau voltage until the release [J]
  TurnOffFigures turn_off{};
};

/// A current I in R and L against a constant voltage V above the supply:
///
///   i(t) = (I + V/R) exp(-t R/L) - V/R
///
/// Textbook; for R = 0 it is I - V t/L, gone after L I/V.
struct Release {
  double resistance;  ///< R, >= 0 [ohm]
  double inductance;  ///< L [H]
  double voltage;     ///< V: plateau less supply, > 0 [V]

  /// Until the current [A] has fallen to a share of it [s].
  [[nodiscard]] double time(double current, double share) const;
  /// Charge that flows until then [C].
  [[nodiscard]] double charge(double current, double share) const;
};

/// Turns the MOSFET off at t = 0 with the load current in it, and runs until the load is released or, at the latest,
/// for ten times as long as it should take by hand. Throws std::invalid_argument for a load without inductance, a
/// current that is not positive, or a share outside 0 to 1.
///
/// Until the current is gone the energy is 1/2 L I^2 V/(V - supply) for R = 0 (the avalanche energy of data sheets,
/// with V the breakdown voltage): the supply adds its part while the current falls.
InductiveTurnOff inductive_turn_off(const network::LowSideCell& cell, const InductiveTurnOffRequest& request,
                                    const simulate::Settings& settings);

}  // namespace gateswing::study
