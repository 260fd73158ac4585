// Gate charge by a constant gate current, the method of JESD24-2.
#pragma once

#include "gateswing/network/test_circuits.h"
#include "gateswing/study/edge_figures.h"
#include "gateswing/study/transient.h"

namespace gateswing::study {

/// Has the channels v_gs and v_ds at the die, i_d; gate current times time is the charge.
struct GateChargeTest : Transient {
  double gate_current = no_figure;  ///< as used [A]
  /// Charge at which v_GS arrives at the voltage asked for; no_figure if the channel has not taken over the drain
  /// current by then [C].
  double total = no_figure;
};

/// Charges the gate from 0 V to `gate_voltage` [V]. A gate current of zero in `test` chooses a millionth of the drain
/// current: then the output capacitance takes next to nothing of the drain current while the drain falls, and the
/// charges are those of a quasi-static sweep. Throws std::invalid_argument for voltages or currents not above zero.
GateChargeTest gate_charge_test(network::GateChargeCircuit test, double gate_voltage,
                                const simulate::Settings& settings);

}  // namespace gateswing::study
