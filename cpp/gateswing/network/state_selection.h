// Which states of a circuit's equations stay, and in what order.
#pragma once

#include <vector>

#include "gateswing/network/unreduced_equations.h"

namespace gateswing::network {

/// Kept in the order that CompiledNetwork promises.
struct StateSelection {
  std::vector<int> kept;
  std::vector<int> eliminated;
  int variable_size = 0;
  int differential_size = 0;
};

/// Of the states all stay but resistive voltages that no nonlinear law sees.
StateSelection select_states(const UnreducedEquations& equations);

}  // namespace gateswing::network
