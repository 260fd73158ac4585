// First half of compile(): Kirchhoff's equations on the normal tree, before linear resistive voltages are eliminated.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "gateswing/network/compiled_network.h"
#include "gateswing/network/normal_tree.h"

namespace gateswing::network {

/// Equations with every tree resistance still a state.
struct UnreducedEquations {
  NormalTree tree;
  std::vector<State> states;
  std::vector<int> tree_row;           ///< state of each tree branch, -1 for sources and tree inductors
  std::vector<int> link_row;           ///< state of each link, -1 but for inductors
  std::vector<int> diode_row;          ///< stored-charge state of each diode, -1 without recovery
  std::vector<bool> is_nonlinear_row;  ///< a nonlinear conduction law touches this state
  std::vector<bool> is_variable_row;   ///< a nonlinear capacitor touches this state
  Eigen::MatrixXd constant_mass;
  Eigen::MatrixXd mass_pattern;  ///< nonzero where M can have an entry, constant or not
  Eigen::MatrixXd state_matrix;
  Eigen::MatrixXd input_matrix;
  std::vector<LinearForm> branch_voltages;  ///< by branch; of tree inductors only their source part, zero
};

UnreducedEquations write_equations(const Circuit& circuit);

}  // namespace gateswing::network
