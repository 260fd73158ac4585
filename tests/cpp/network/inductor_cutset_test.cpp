// Inductors that meet at a node share its current exactly, without an invented node capacitance.
#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "network/support.h"
#include "relative.h"

namespace gateswing::network::test {
namespace {

constexpr double exact = 1e-12;

TEST_CASE("a node of inductors alone takes the mean of its neighbours weighted by 1/L") {
  // Kirchhoff's current law differentiated: sum (v_k - v)/L_k = 0.
  constexpr std::array voltages{5.0, -3.0, 12.0};
  constexpr std::array inductances{1e-9, 4e-9, 20e-9};
  Circuit circuit;
  const Node middle = circuit.node("middle");
  double weighted = 0.0;
  double weight = 0.0;
  for (std::size_t k = 0; k < 3; ++k) {
    const std::string name = std::to_string(k);
    const Node end = circuit.node("end" + name);
    circuit.add_voltage_source("v" + name, end, Node::ground, PiecewiseLinear(voltages[k]));
    circuit.add_inductor("l" + name, end, middle, inductances[k]);
    weighted += voltages[k] / inductances[k];
    weight += 1.0 / inductances[k];
  }
  Snapshot snapshot(circuit);
  REQUIRE(snapshot.network().size() == 2);
  const auto now = snapshot.solve(0.0, Eigen::Vector2d(1.0, 2.0));
  REQUIRE(now);
  CHECK(now->potential[at(middle)] == gateswing_test::relative(weighted / weight, exact));
  double current_sum = 0.0;
  for (std::size_t k = 0; k < 3; ++k) {
    const double rate = (voltages[k] - weighted / weight) / inductances[k];
    const std::size_t inductor = 2 * k + 1;
    CHECK(now->current_rate[inductor] == gateswing_test::relative(rate, 1e-9));
    current_sum += now->current[inductor];
  }
  CHECK(std::abs(current_sum) < exact);
}

TEST_CASE("inductors in series are one state and divide the voltage as their inductances") {
  Circuit circuit;
  const Node a = circuit.node("a");
  const Node b = circuit.node("b");
  const Node c = circuit.node("c");
  circuit.add_voltage_source("source", a, Node::ground, PiecewiseLinear(10.0));
  circuit.add_inductor("first", a, b, 3e-6);
  circuit.add_inductor("second", b, c, 7e-6);
  circuit.add_resistor("resistor", c, Node::ground, 2.0);
  Snapshot snapshot(circuit);
  REQUIRE(snapshot.network().size() == 1);
  // From the state itself, so that the sign of whichever inductor became the state does not matter.
  const auto now = snapshot.solve(0.0, Eigen::VectorXd::Constant(1, 1.5));
  REQUIRE(now);
  const double current = now->current[at(circuit.branch_index("resistor"))];
  CHECK(std::abs(current) == gateswing_test::relative(1.5, exact));
  const double rate = (10.0 - 2.0 * current) / 10e-6;
  CHECK(now->current_rate[at(circuit.branch_index("first"))] == gateswing_test::relative(rate, 1e-9));
  CHECK(now->potential[at(b)] == gateswing_test::relative(10.0 - 3e-6 * rate, exact));
}

TEST_CASE("an inductor fed by a constant current source has no state and no voltage") {
  Circuit circuit;
  const Node a = circuit.node("a");
  circuit.add_current_source("source", Node::ground, a, PiecewiseLinear(4.0));
  circuit.add_inductor("inductor", a, Node::ground, 1e-6);
  Snapshot snapshot(circuit);
  REQUIRE(snapshot.network().size() == 0);
  const auto now = snapshot.solve(0.0, Eigen::VectorXd(0));
  REQUIRE(now);
  CHECK(now->current[at(circuit.branch_index("inductor"))] == 4.0);
  CHECK(now->potential[at(a)] == 0.0);
}

TEST_CASE("an inductance shared by two loops couples their currents by its full value") {
  // Two loops of one source and one inductance each, with a common third: M = [[L1 + Lc, Lc], [Lc, L2 + Lc]].
  Circuit circuit;
  const Node a = circuit.node("a");
  const Node b = circuit.node("b");
  const Node shared = circuit.node("shared");
  circuit.add_voltage_source("gate drive", a, Node::ground, PiecewiseLinear(12.0));
  circuit.add_voltage_source("bus", b, Node::ground, PiecewiseLinear(100.0));
  circuit.add_inductor("gate loop", a, shared, 10e-9);
  circuit.add_inductor("power loop", b, shared, 30e-9);
  circuit.add_inductor("common", shared, Node::ground, 5e-9);
  Snapshot snapshot(circuit);
  const auto now = snapshot.solve(0.0, Eigen::Vector2d(0.0, 0.0));
  REQUIRE(now);
  const Eigen::Matrix2d inductance{{15e-9, 5e-9}, {5e-9, 35e-9}};
  const Eigen::Vector2d rates = inductance.inverse() * Eigen::Vector2d(12.0, 100.0);
  CHECK(now->current_rate[at(circuit.branch_index("gate loop"))] == gateswing_test::relative(rates[0], 1e-9));
  CHECK(now->current_rate[at(circuit.branch_index("power loop"))] == gateswing_test::relative(rates[1], 1e-9));
  CHECK(now->potential[at(shared)] == gateswing_test::relative(5e-9 * rates.sum(), 1e-9));
}

}  // namespace
}  // namespace gateswing::network::test
