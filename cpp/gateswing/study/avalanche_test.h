// Single-pulse avalanche: unclamped inductive switching.
#pragma once

#include "gateswing/network/test_circuits.h"
#include "gateswing/study/edge_figures.h"
#include "gateswing/study/transient.h"

namespace gateswing::study {

/// Has the channels v_gs and v_ds at the die, i_d; the generator begins to fall at time 0.
struct AvalancheTest : Transient {
  double current = no_figure;            ///< in the choke when the avalanche begins, I_AS [A]
  double time_in_avalanche = no_figure;  ///< t_AV [s]
  double energy = no_figure;             ///< v_DS i_D over the pulse, E_AS [J]
  double peak_voltage = no_figure;       ///< of v_DS at the die [V]
};

/// Turns off into the choke and runs until its current is spent. The avalanche lasts from where v_DS at the die passes
/// the middle between supply and knee of the breakdown until the current passes zero. The junction keeps its
/// temperature, though a real one heats and its breakdown voltage rises with it by some per cent.
///
/// Throws std::invalid_argument for a supply that is not below the breakdown voltage.
AvalancheTest avalanche_test(const network::AvalancheCircuit& test, const simulate::Settings& settings);

}  // namespace gateswing::study
