// Arithmetic of linear forms states . x + inputs . u.
#pragma once

#include "gateswing/network/compiled_network.h"

namespace gateswing::network {

inline LinearForm zero_form(Eigen::Index states, Eigen::Index inputs) {
  return {Eigen::RowVectorXd::Zero(states), Eigen::RowVectorXd::Zero(inputs)};
}

inline void add_scaled(LinearForm& target, double factor, const LinearForm& form) {
  target.states += factor * form.states;
  target.inputs += factor * form.inputs;
}

inline LinearForm difference(const LinearForm& a, const LinearForm& b) {
  return {a.states - b.states, a.inputs - b.inputs};
}

/// Adds `factor` times a branch current to another.
inline void add_scaled(CurrentForm& target, double factor, const CurrentForm& form) {
  add_scaled(target.linear, factor, form.linear);
  for (const auto& [port, weight] : form.conducting_ports) target.conducting_ports.emplace_back(port, factor * weight);
  for (const auto& [capacitor, weight] : form.capacitors) target.capacitors.emplace_back(capacitor, factor * weight);
}

}  // namespace gateswing::network
