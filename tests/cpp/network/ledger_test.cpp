// The energy and charge balance of given integrals, by hand.
#include <doctest/doctest.h>

#include "gateswing/network/ledger.h"
#include "network/support.h"
#include "relative.h"

namespace gateswing::network::test {
namespace {

/// 10 V through 50 ohm into 1 nF of a step law (so that the charge row exists), beside an inductor with its resistor.
struct Charging {
  Circuit circuit;
  CompiledNetwork network;
  Eigen::VectorXd begin = Eigen::VectorXd::Zero(2);
  Eigen::VectorXd end = Eigen::VectorXd::Zero(2);
  Eigen::VectorXd integrals;

  static constexpr device::StepCapacitance<> law{1e-9, 1e-9, 0.0, 1.0};

  Charging() {
    const Node supply = circuit.node("supply");
    const Node top = circuit.node("top");
    const Node coil = circuit.node("coil");
    circuit.add_voltage_source("source", supply, Node::ground, PiecewiseLinear(10.0));
    circuit.add_resistor("resistor", supply, top, 50.0);
    circuit.add_capacitor("capacitor", top, Node::ground, law);
    circuit.add_resistor("winding", supply, coil, 2.0);
    circuit.add_inductor("inductor", coil, Node::ground, 1e-6);
    network = compile(circuit);
    integrals = Eigen::VectorXd::Zero(network.integral_count());
    end << 10.0, 3.0;
    // Order: resistors, sources' absorbed energy, sources' charge, rows' charge, charge passing the rows. 50 nJ go into
    // the capacitor's resistor and the winding takes 5 nJ; the source gives both and what is stored: 50 nJ in C, 4.5 uJ
    // in L.
    integrals << 50e-9, 5e-9, -(50e-9 + 5e-9 + 50e-9 + 4.5e-6), 0.0, 10e-9, 10e-9;
  }

  [[nodiscard]] Ledger ledger() const { return balance(network, begin, end, integrals); }
};

const EnergyEntry& entry(const Ledger& ledger, std::string_view element) {
  return *std::ranges::find(ledger.entries, element, &EnergyEntry::element);
}

TEST_CASE("every element has one entry of the right kind") {
  const Ledger ledger = Charging().ledger();
  REQUIRE(ledger.entries.size() == 5);
  CHECK(entry(ledger, "source").kind == EnergyKind::delivered);
  CHECK(entry(ledger, "resistor").kind == EnergyKind::dissipated);
  CHECK(entry(ledger, "winding").kind == EnergyKind::dissipated);
  CHECK(entry(ledger, "capacitor").kind == EnergyKind::stored);
  CHECK(entry(ledger, "inductor").kind == EnergyKind::stored);
}

TEST_CASE("stored energies are those of the end states, delivered energy is positive") {
  const Ledger ledger = Charging().ledger();
  CHECK(entry(ledger, "capacitor").energy == gateswing_test::relative(50e-9, 1e-6));
  CHECK(entry(ledger, "inductor").energy == gateswing_test::relative(4.5e-6, 1e-6));
  CHECK(entry(ledger, "source").energy == gateswing_test::relative(4.605e-6, 1e-6));
  CHECK(ledger.throughput == gateswing_test::relative(4.605e-6, 1e-6));
}

TEST_CASE("a run that balances has no residual") {
  const Ledger ledger = Charging().ledger();
  CHECK(ledger.energy_residual < 1e-14);
  CHECK(ledger.charge_residual < 1e-14);
}

TEST_CASE("energy that vanishes shows as its share of the throughput") {
  Charging run;
  run.integrals[0] -= 1e-9;
  CHECK(run.ledger().energy_residual == gateswing_test::relative(1e-9 / (4.605e-6 - 0.5e-9), 1e-6));
}

TEST_CASE("charge that vanishes shows as its share of the charge held and passed") {
  Charging run;
  run.integrals[4] += 1e-13;
  CHECK(run.ledger().charge_residual == gateswing_test::relative(1e-13 / (10e-9 + 10e-9), 1e-6));
}

TEST_CASE("a constant source delivers its voltage times the charge to capacitors tied to it") {
  // A capacitive divider on 10 V: one of the capacitors has no state of its own, and its current none to integrate.
  Circuit circuit;
  const Node top = circuit.node("top");
  const Node middle = circuit.node("middle");
  circuit.add_voltage_source("source", top, Node::ground, PiecewiseLinear(10.0));
  circuit.add_capacitor("upper", top, middle, device::ConstantCapacitance<>{2e-9}, 10.0);
  circuit.add_capacitor("lower", middle, Node::ground, device::ConstantCapacitance<>{1e-9}, 0.0);
  circuit.add_resistor("resistor", top, middle, 1e3);
  const CompiledNetwork network = compile(circuit);
  REQUIRE(network.size() == 1);
  const bool state_is_lower = network.states.front().name == "lower";
  const Eigen::VectorXd begin = Eigen::VectorXd::Constant(1, state_is_lower ? 0.0 : 10.0);
  const Eigen::VectorXd end = Eigen::VectorXd::Constant(1, state_is_lower ? 4.0 : 6.0);
  Eigen::VectorXd integrals = Eigen::VectorXd::Zero(network.integral_count());
  // The resistor passes 12 nC while the middle rises by 4 V: 4 V 1 nF + 4 V 2 nF. Which part of the source's current is
  // integrated, and which comes from charges, depends on the tree; what it delivers does not.
  integrals[1] = state_is_lower ? -10.0 * 12e-9 : 0.0;
  const Ledger ledger = balance(network, begin, end, integrals);
  CHECK(entry(ledger, "source").energy == gateswing_test::relative(10.0 * 12e-9 - 10.0 * 8e-9, 1e-6));
}

}  // namespace
}  // namespace gateswing::network::test
