// How MOSFETs in parallel share the current: at rest and over one turn-on and one turn-off.
#pragma once

#include <vector>

#include "gateswing/network/parallel_cell.h"
#include "gateswing/study/double_pulse.h"

namespace gateswing::study {

/// What one of the MOSFETs does. Energies are the heat of its channel over the record of the edge.
struct SharedFigures {
  double on_current = no_figure;             ///< into the drain at the end of the on-time [A]
  double turn_on_time = no_figure;           ///< command to half of on_current in the channel [s]
  double turn_off_time = no_figure;          ///< command to the last time that its channel carries half of it [s]
  double peak_turn_on_current = no_figure;   ///< into the drain [A]
  double peak_turn_off_current = no_figure;  ///< likewise, from the turn-off command on [A]
  double turn_on_energy = no_figure;         ///< [J]
  double turn_off_energy = no_figure;        ///< [J]
};

struct CurrentSharing {
  DoublePulse pulse;                   ///< with the figures of the first MOSFET's edges
  std::vector<SharedFigures> mosfets;  ///< in the order of the cell
};

/// A double pulse of the cell; times that are chosen grow with the number of MOSFETs.
///
/// The waveform has the channels of a low-side cell, of the first MOSFET where they differ, and behind them for each
/// further one v_gs, v_ds, i_d and i_channel with the number of the MOSFET behind the name: v_gs_2, ...
CurrentSharing current_sharing(const network::ParallelCell& cell, const DoublePulseRequest& request,
                               const simulate::Settings& settings);

}  // namespace gateswing::study
