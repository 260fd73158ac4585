// Reverse recovery of a diode on a forced ramp of current.
#pragma once

#include "gateswing/network/test_circuits.h"
#include "gateswing/study/edge_figures.h"
#include "gateswing/study/transient.h"

namespace gateswing::study {

/// Has the channels i, forward through the part, and v, anode to cathode; the ramp begins at time 0.
struct RecoveryTest : Transient {
  /// As measure::Recovery defines them; no_figure where the current shows no recovery.
  double peak_current = no_figure;  ///< I_RRM [A]
  double time = no_figure;          ///< t_rr to 25 % of the peak [s]
  double line_time = no_figure;     ///< by the line through 90 and 25 % [s]
  double short_time = no_figure;    ///< by the line through 75 and 50 % [s]
  double charge = no_figure;        ///< Q_rr to the end of the record, the capacitive charge included [C]
};

/// Lets the part carry its forward current until its charge has settled, then runs the ramp until the recovery is over.
/// Throws std::invalid_argument for currents, slopes or voltages not above zero.
RecoveryTest recovery_test(const network::RecoveryCircuit& test, const simulate::Settings& settings);

}  // namespace gateswing::study
