#include "gateswing/network/state_selection.h"

#include <cstddef>

namespace gateswing::network {
namespace {

using Eigen::Index;

std::size_t at(Index index) {
  return static_cast<std::size_t>(index);
}

/// Spreads the mark over capacitor voltages coupled through M, so that the variable block is closed.
std::vector<bool> variable_block(const UnreducedEquations& equations) {
  std::vector<bool> marked = equations.is_variable_row;
  for (bool grew = true; grew;) {
    grew = false;
    for (Index i = 0; i < equations.mass_pattern.rows(); ++i) {
      for (Index j = 0; j < equations.mass_pattern.cols(); ++j) {
        if (equations.mass_pattern(i, j) == 0.0 || !marked[at(j)] || marked[at(i)]) continue;
        marked[at(i)] = true;
        grew = true;
      }
    }
  }
  return marked;
}

}  // namespace

StateSelection select_states(const UnreducedEquations& equations) {
  const std::vector<bool> variable = variable_block(equations);
  StateSelection selection;
  const auto keep_where = [&](auto&& condition) {
    for (std::size_t s = 0; s < equations.states.size(); ++s) {
      if (condition(s)) selection.kept.push_back(static_cast<int>(s));
    }
    return static_cast<int>(selection.kept.size());
  };
  const auto is = [&](std::size_t s, StateKind kind) { return equations.states[s].kind == kind; };
  selection.variable_size =
      keep_where([&](std::size_t s) { return is(s, StateKind::capacitor_voltage) && variable[s]; });
  keep_where([&](std::size_t s) { return is(s, StateKind::capacitor_voltage) && !variable[s]; });
  keep_where([&](std::size_t s) { return is(s, StateKind::inductor_current); });
  selection.differential_size = keep_where([&](std::size_t s) { return is(s, StateKind::stored_charge); });
  for (std::size_t s = 0; s < equations.states.size(); ++s) {
    if (!is(s, StateKind::resistive_voltage)) continue;
    (equations.is_nonlinear_row[s] ? selection.kept : selection.eliminated).push_back(static_cast<int>(s));
  }
  return selection;
}

}  // namespace gateswing::network
