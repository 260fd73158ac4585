// What two switches in series do to each other while the current passes from one to the other.
#pragma once

#include "gateswing/measure/window.h"
#include "gateswing/study/edge_figures.h"
#include "gateswing/study/half_bridge_channels.h"

namespace gateswing::study {

/// One commutation: `outgoing` is told to turn off, `incoming` to turn on. Voltages at the dies. No standard defines
/// these; common practice, no source. A figure is no_figure where the waveform does not show it.
///
/// What the incoming switch does to the outgoing one counts from where its v_GS has made a tenth of its way. With a
/// dead time that is too short the gate of the outgoing switch is still high then, and its margin is negative.
struct CommutationFigures {
  double outgoing_off = no_figure;      ///< v_GS of the outgoing switch falls through its threshold [s]
  double incoming_on = no_figure;       ///< v_GS of the incoming switch rises through its threshold [s]
  double gate_gap = no_figure;          ///< incoming_on - outgoing_off; negative: both conduct [s]
  double dead_time_needed = no_figure;  ///< of the commands, with which the gap would be zero [s]

  /// v_DS of the incoming switch at incoming_on: the bus voltage for a hard, nothing for a soft commutation [V].
  double voltage_at_turn_on = no_figure;
  double shoot_through_charge = no_figure;     ///< through both channels at once [C]
  double shoot_through_energy = no_figure;     ///< heat of that charge in both channels [J]
  double induced_gate_voltage = no_figure;     ///< highest v_GS of the outgoing switch under the incoming one [V]
  double threshold_margin = no_figure;         ///< its threshold less that [V]
  double minimum_gate_voltage = no_figure;     ///< lowest v_GS of either switch [V]
  double peak_reverse_current = no_figure;     ///< into the drain pin of the outgoing switch meanwhile [A]
  double recovery_charge = no_figure;          ///< backward through the outgoing side's junctions [C]
  double recovery_energy = no_figure;          ///< heat in those junctions meanwhile [J]
  double capacitive_charge = no_figure;        ///< into that side's capacitances at the drain, from outgoing_off on [C]
  double diode_conduction_energy = no_figure;  ///< forward, body and anti-parallel diodes of both sides [J]
};

/// A commutation of the window, whose commands are `dead_time` [s] apart. The thresholds [V] are those of the channels.
struct Commutation {
  network::Side incoming;
  double dead_time;
  double outgoing_threshold;
  double incoming_threshold;
};

CommutationFigures commutation_figures(const waveform::Waveform& waveform, measure::Window window,
                                       const Commutation& commutation);

}  // namespace gateswing::study
