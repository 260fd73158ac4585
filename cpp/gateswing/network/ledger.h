// Energy ledger of a run: what each element absorbed, stored or delivered, and how well it closes.
#pragma once

#include <Eigen/Core>
#include <limits>
#include <string>
#include <vector>

#include "gateswing/network/compiled_network.h"

namespace gateswing::network {

enum class EnergyKind {
  delivered,   ///< by a source
  dissipated,  ///< turned to heat
  stored       ///< change of the energy stored in a capacitor or inductor
};

struct EnergyEntry {
  std::string element;
  EnergyKind kind;
  double energy;  ///< [J]
};

struct Ledger {
  std::vector<EnergyEntry> entries;
  double throughput = 0.0;  ///< energy that moved: sum of |delivered|, |dissipated| and |stored|, halved [J]
  double energy_residual =
      std::numeric_limits<double>::quiet_NaN();  ///< |delivered - dissipated - stored| / throughput
  /// Largest |integral of current - change of charge| / (charge held + charge passed), over capacitive nodes.
  double charge_residual = std::numeric_limits<double>::quiet_NaN();
};

/// Balances a run from state `begin` to state `end` (network states, padding allowed behind) with the integrals of
/// NetworkSystem over it.
///
/// A constant source also delivers v dq to the capacitors in a loop with it alone; that is exact from their charges.
Ledger balance(const CompiledNetwork& network, const Eigen::Ref<const Eigen::VectorXd>& begin,
               const Eigen::Ref<const Eigen::VectorXd>& end, const Eigen::Ref<const Eigen::VectorXd>& integrals);

}  // namespace gateswing::network
