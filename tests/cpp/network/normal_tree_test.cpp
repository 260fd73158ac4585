// The normal tree: which branches it takes, and the loops and cutsets it gives.
#include <doctest/doctest.h>

#include "gateswing/network/normal_tree.h"
#include "network/random_circuit.h"
#include "network/support.h"
#include "network/topology.h"

namespace gateswing::network::test {
namespace {

/// Rank in the order of preference for the tree.
int preference(BranchKind kind) {
  switch (kind) {
    case BranchKind::voltage_source:
      return 0;
    case BranchKind::capacitor:
      return 1;
    case BranchKind::conduction:
      return 2;
    case BranchKind::resistor:
      return 3;
    case BranchKind::inductor:
      return 4;
    default:
      return 5;
  }
}

template <class Check>
void for_random_trees(unsigned seed, Check&& check) {
  CircuitDraw draw(seed);
  for (int checked = 0; checked < 300;) {
    const Circuit circuit = draw.circuit();
    CAPTURE(draw.description);
    if (!judge(circuit).sound()) continue;
    check(circuit, find_normal_tree(circuit));
    ++checked;
  }
}

Eigen::RowVectorXd incidence_of(const Circuit& circuit, BranchIndex index) {
  Eigen::RowVectorXd row = Eigen::RowVectorXd::Zero(static_cast<Eigen::Index>(circuit.node_names().size()));
  row[static_cast<Eigen::Index>(circuit.branches()[at(index)].plus)] += 1.0;
  row[static_cast<Eigen::Index>(circuit.branches()[at(index)].minus)] -= 1.0;
  return row;
}

TEST_CASE("the tree joins every node to ground with one branch less than there are nodes") {
  for_random_trees(1, [](const Circuit& circuit, const NormalTree& tree) {
    CHECK(tree.tree.size() + 1 == circuit.node_names().size());
    CHECK(tree.tree.size() + tree.links.size() == circuit.branches().size());
    const auto in_tree = [&](BranchIndex b) { return std::ranges::find(tree.tree, b) != tree.tree.end(); };
    CHECK(rank(circuit, in_tree) + 1 == static_cast<int>(circuit.node_names().size()));
  });
}

TEST_CASE("a link crosses only tree branches of its own kind or a preferred one") {
  for_random_trees(2, [](const Circuit& circuit, const NormalTree& tree) {
    for (std::size_t l = 0; l < tree.links.size(); ++l) {
      for (std::size_t k = 0; k < tree.tree.size(); ++k) {
        if (tree.incidence(static_cast<Eigen::Index>(k), static_cast<Eigen::Index>(l)) == 0.0) continue;
        CHECK(preference(circuit.branches()[at(tree.tree[k])].kind) <=
              preference(circuit.branches()[at(tree.links[l])].kind));
      }
    }
  });
}

TEST_CASE("every link voltage is the signed sum of the tree voltages on its path") {
  for_random_trees(3, [](const Circuit& circuit, const NormalTree& tree) {
    for (std::size_t l = 0; l < tree.links.size(); ++l) {
      Eigen::RowVectorXd sum = Eigen::RowVectorXd::Zero(static_cast<Eigen::Index>(circuit.node_names().size()));
      for (std::size_t k = 0; k < tree.tree.size(); ++k) {
        sum += tree.incidence(static_cast<Eigen::Index>(k), static_cast<Eigen::Index>(l)) *
               incidence_of(circuit, tree.tree[k]);
      }
      CHECK(sum == incidence_of(circuit, tree.links[l]));
    }
  });
}

TEST_CASE("every node potential is the signed sum of the tree voltages back to ground") {
  for_random_trees(4, [](const Circuit& circuit, const NormalTree& tree) {
    const auto nodes = static_cast<Eigen::Index>(circuit.node_names().size());
    CHECK(tree.node_potential.row(0).isZero(0.0));
    for (Eigen::Index node = 1; node < nodes; ++node) {
      Eigen::RowVectorXd sum = Eigen::RowVectorXd::Zero(nodes);
      for (std::size_t k = 0; k < tree.tree.size(); ++k) {
        sum += tree.node_potential(node, static_cast<Eigen::Index>(k)) * incidence_of(circuit, tree.tree[k]);
      }
      Eigen::RowVectorXd expected = Eigen::RowVectorXd::Zero(nodes);
      expected[node] = 1.0;
      expected[0] = -1.0;
      CHECK(sum == expected);
    }
  });
}

TEST_CASE("of three capacitors in a loop two are in the tree, of three inductors at a node one") {
  Circuit circuit;
  const Node a = circuit.node("a");
  const Node b = circuit.node("b");
  const Node c = circuit.node("c");
  const device::ConstantCapacitance<> farad{1.0};
  circuit.add_capacitor("c1", a, Node::ground, farad);
  circuit.add_capacitor("c2", b, Node::ground, farad);
  circuit.add_capacitor("c3", a, b, farad);
  circuit.add_inductor("l1", a, c, 1.0);
  circuit.add_inductor("l2", b, c, 1.0);
  circuit.add_inductor("l3", c, Node::ground, 1.0);
  const NormalTree tree = find_normal_tree(circuit);
  const auto in_tree = [&](BranchKind kind) {
    return std::ranges::count_if(tree.tree, [&](BranchIndex k) { return circuit.branches()[at(k)].kind == kind; });
  };
  CHECK(in_tree(BranchKind::capacitor) == 2);
  CHECK(in_tree(BranchKind::inductor) == 1);
}

}  // namespace
}  // namespace gateswing::network::test
