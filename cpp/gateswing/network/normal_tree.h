// Normal tree of a circuit graph and its fundamental cutsets.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "gateswing/network/circuit.h"

namespace gateswing::network {

/// Fundamental loops and cutsets of a normal tree.
///
/// Textbook state-variable method (Desoer and Kuh, Basic Circuit Theory, 1969, chapters 11-12, from memory): the tree
/// holds all voltage sources, as many capacitors as possible, then resistive branches, and inductors only where
/// nothing else connects. With D(k, l) the sign with which tree branch k lies on the tree path of link l:
///     v_link = D^T v_tree        (Kirchhoff's voltage law)
///     i_tree = -D i_link         (Kirchhoff's current law)
struct NormalTree {
  std::vector<BranchIndex> tree;   ///< branch of each row of D
  std::vector<BranchIndex> links;  ///< branch of each column of D; sense branches are links without current
  Eigen::MatrixXd incidence;       ///< D, (tree, links), entries -1, 0, 1
  Eigen::MatrixXd node_potential;  ///< (nodes, tree): potential of each node against ground from v_tree
};

/// Finds the tree; throws std::invalid_argument with the names involved when the circuit has a loop of voltage sources,
/// a node without a path to ground, or a current source that nothing can carry.
NormalTree find_normal_tree(const Circuit& circuit);

}  // namespace gateswing::network
