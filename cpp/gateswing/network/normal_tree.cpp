#include "gateswing/network/normal_tree.h"

#include <algorithm>
#include <array>
#include <numeric>
#include <queue>
#include <stdexcept>

namespace gateswing::network {
namespace {

std::size_t index(Node node) {
  return static_cast<std::size_t>(node);
}
std::size_t index(BranchIndex branch) {
  return static_cast<std::size_t>(branch);
}

/// Disjoint sets of nodes already connected by tree branches.
class ConnectedSets {
 public:
  explicit ConnectedSets(std::size_t size) : parent_(size) { std::iota(parent_.begin(), parent_.end(), 0U); }

  std::size_t root(std::size_t item) {
    while (parent_[item] != item) item = parent_[item] = parent_[parent_[item]];
    return item;
  }

  bool join(std::size_t a, std::size_t b) {
    const std::size_t root_a = root(a);
    const std::size_t root_b = root(b);
    parent_[root_a] = root_b;
    return root_a != root_b;
  }

 private:
  std::vector<std::size_t> parent_;
};

std::string quoted(const std::string& name) {
  return "'" + name + "'";
}

/// A loop of voltage sources over-determines a voltage; zero resistances and inductances count as sources of 0 V.
[[noreturn]] void report_source_loop(const Branch& branch) {
  throw std::invalid_argument(
      "element " + quoted(branch.name) +
      " closes a loop of ideal voltage sources, zero resistances and zero inductances: give one "
      "of them a resistance or an inductance");
}

[[noreturn]] void report_blocked_current(const Branch& branch) {
  throw std::invalid_argument("the current of " + quoted(branch.name) +
                              " has no path: everything else that meets it is a current source or open (an inductive "
                              "load without a freewheel path looks like this)");
}

void require_connected(const Circuit& circuit, ConnectedSets& sets) {
  std::string stray;
  for (std::size_t node = 1; node < circuit.node_names().size(); ++node) {
    if (sets.root(node) != sets.root(0)) stray += (stray.empty() ? "" : ", ") + quoted(circuit.node_names()[node]);
  }
  if (!stray.empty()) throw std::invalid_argument("no path to ground from node " + stray);
}

void choose_tree(const Circuit& circuit, NormalTree& result) {
  constexpr std::array order{BranchKind::voltage_source, BranchKind::capacitor, BranchKind::conduction,
                             BranchKind::resistor,       BranchKind::inductor,  BranchKind::current_source};
  ConnectedSets sets(circuit.node_names().size());
  for (const BranchKind kind : order) {
    for (std::size_t b = 0; b < circuit.branches().size(); ++b) {
      const Branch& branch = circuit.branches()[b];
      if (branch.kind != kind) continue;
      const bool joins = sets.join(index(branch.plus), index(branch.minus));
      if (!joins && kind == BranchKind::voltage_source) report_source_loop(branch);
      if (joins && kind == BranchKind::current_source) report_blocked_current(branch);
      (joins ? result.tree : result.links).push_back(static_cast<BranchIndex>(b));
    }
  }
  require_connected(circuit, sets);
  for (std::size_t b = 0; b < circuit.branches().size(); ++b) {
    if (circuit.branches()[b].kind == BranchKind::sense) result.links.push_back(static_cast<BranchIndex>(b));
  }
}

/// Walks the tree outward from ground, adding one branch voltage per step.
void find_node_potentials(const Circuit& circuit, NormalTree& result) {
  const auto nodes = circuit.node_names().size();
  std::vector<std::vector<Eigen::Index>> rows_at(nodes);
  for (std::size_t k = 0; k < result.tree.size(); ++k) {
    const Branch& branch = circuit.branches()[index(result.tree[k])];
    rows_at[index(branch.plus)].push_back(static_cast<Eigen::Index>(k));
    rows_at[index(branch.minus)].push_back(static_cast<Eigen::Index>(k));
  }
  result.node_potential.setZero(static_cast<Eigen::Index>(nodes), static_cast<Eigen::Index>(result.tree.size()));
  std::vector<bool> reached(nodes, false);
  std::queue<std::size_t> frontier({0});
  reached[0] = true;
  while (!frontier.empty()) {
    const std::size_t here = frontier.front();
    frontier.pop();
    for (const Eigen::Index k : rows_at[here]) {
      const Branch& branch = circuit.branches()[index(result.tree[static_cast<std::size_t>(k)])];
      const bool from_plus = index(branch.plus) == here;
      const std::size_t there = index(from_plus ? branch.minus : branch.plus);
      if (reached[there]) continue;
      reached[there] = true;
      const auto row = static_cast<Eigen::Index>(there);
      result.node_potential.row(row) = result.node_potential.row(static_cast<Eigen::Index>(here));
      result.node_potential(row, k) += from_plus ? -1.0 : 1.0;
      frontier.push(there);
    }
  }
}

}  // namespace

NormalTree find_normal_tree(const Circuit& circuit) {
  NormalTree result;
  choose_tree(circuit, result);
  find_node_potentials(circuit, result);
  result.incidence.resize(static_cast<Eigen::Index>(result.tree.size()),
                          static_cast<Eigen::Index>(result.links.size()));
  for (std::size_t l = 0; l < result.links.size(); ++l) {
    const Branch& link = circuit.branches()[index(result.links[l])];
    result.incidence.col(static_cast<Eigen::Index>(l)) =
        (result.node_potential.row(static_cast<Eigen::Index>(link.plus)) -
         result.node_potential.row(static_cast<Eigen::Index>(link.minus)))
            .transpose();
  }
  return result;
}

}  // namespace gateswing::network
