// Charging a capacitor: times, heat and energy against closed forms.
#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "simulate/run.h"

namespace gateswing::simulate::test {
namespace {

using network::Circuit;
using network::Node;

/// A step of `volts` through a resistance onto a capacitor without charge.
Circuit charging(const network::CapacitanceLaw& law, double volts, double resistance) {
  Circuit circuit;
  const Node source = circuit.node("source");
  const Node top = circuit.node("top");
  circuit.add_voltage_source("supply", source, Node::ground, volts);
  circuit.add_resistor("resistor", source, top, resistance);
  circuit.add_capacitor("capacitor", top, Node::ground, law);
  return circuit;
}

constexpr device::DepletionCapacitance<> junction{2e-9, 0.8, 0.55, 30e-12, 5e-9};
constexpr device::StepCapacitance<> gate{1e-9, 2.5e-9, 3.0, 0.8};

TEST_CASE("a capacitor charges from 10 to 90 % in ln 9 time constants") {
  // Textbook; solution of R C v' = V - v.
  constexpr double resistance = 470.0;
  constexpr double capacitance = 3.3e-9;
  const Run r =
      run(charging(device::ConstantCapacitance<>{capacitance}, 12.0, resistance), {voltage("v", "top")}, 20e-6);
  check_close(r.crossing("v", 10.8) - r.crossing("v", 1.2), std::log(9.0) * resistance * capacitance, 1e-7);
  for (const double t : {0.2e-6, 1e-6, 5e-6}) {
    check_close(r.value("v", t), -12.0 * std::expm1(-t / (resistance * capacitance)), 1e-7);
  }
}

TEST_CASE("the resistor that charges a constant capacitor burns C V^2/2, whatever its value") {
  for (const double resistance : {1e-3, 1.0, 1e3, 1e6}) {
    CAPTURE(resistance);
    const double capacitance = 4.7e-9;
    const Run r = run(charging(device::ConstantCapacitance<>{capacitance}, 15.0, resistance), {},
                      40.0 * resistance * capacitance);
    check_close(r.energy("resistor"), 0.5 * capacitance * 225.0, 1e-8);
    check_close(r.energy("capacitor"), 0.5 * capacitance * 225.0, 1e-8);
    check_close(r.energy("supply"), capacitance * 225.0, 1e-8);
  }
}

TEST_CASE("what charges a nonlinear capacitor burns V Q - E, whatever it is") {
  // Energy balance: the source gives V Q, the capacitor keeps E = integral of v dq.
  const auto check = [](const auto& law, double volts) {
    const double kept = device::stored_energy(law, volts);
    const double burnt = volts * device::charge(law, volts) - kept;
    for (const double resistance : {2.0, 5e3}) {
      const Run r = run(charging(law, volts, resistance), {}, 40.0 * resistance * 5e-9);
      check_close(r.energy("resistor"), burnt, 1e-8);
      check_close(r.energy("capacitor"), kept, 1e-8);
    }
  };
  check(junction, 48.0);
  check(junction, 400.0);
  check(gate, 12.0);
}

TEST_CASE("a current-limited driver with drops burns V Q - E as well") {
  Circuit circuit;
  const Node supply = circuit.node("supply");
  const Node top = circuit.node("top");
  circuit.add_voltage_source("source", supply, Node::ground, 12.0);
  const network::InputIndex command = circuit.add_input("command", network::PiecewiseLinear(1.0));
  circuit.add_driver("driver", supply, top, Node::ground, command, {5.0, 5.0, 2.0, 2.0, 0.0, 0.0, 0.05});
  circuit.add_capacitor("capacitor", top, Node::ground, gate);
  const Run r = run(circuit, {current("i", "driver.upper")}, 2e-6);
  CHECK(r.value("i", 0.0) < 0.5);
  check_close(r.energy("driver"), 12.0 * device::charge(gate, 12.0) - device::stored_energy(gate, 12.0), 1e-7);
}

TEST_CASE("a constant current brings a junction to V after Q(V)/I, and E(V) into it") {
  // Q = C0 phi ((1 + u)^(1-m) - 1)/(1 - m), E = C0 phi^2 (((1+u)^(2-m) - 1)/(2-m) - ((1+u)^(1-m) - 1)/(1-m)),
  // u = V/phi: the integrals of C = C0 (1 + u)^-m. For m = 1/2 and large u the energy tends to 4/3 of C(V) V^2/2
  // (Erickson and Maksimovic, Fundamentals of Power Electronics, give 2/3 C V^2, from memory); finite values by hand.
  struct Case {
    double grading, u, factor;
  };
  constexpr double c0 = 1e-9;
  constexpr double phi = 0.7;
  for (const auto& [m, u, factor] :
       {Case{0.5, 10.0, 1.2618}, Case{0.5, 100.0, 1.3224}, Case{0.33, 100.0, 1.1923}, Case{0.7, 100.0, 1.5150}}) {
    CAPTURE(m);
    CAPTURE(u);
    const double first = (std::pow(1.0 + u, 1.0 - m) - 1.0) / (1.0 - m);
    const double charge = c0 * phi * first;
    const double energy = c0 * phi * phi * ((std::pow(1.0 + u, 2.0 - m) - 1.0) / (2.0 - m) - first);
    constexpr double amperes = 1e-3;
    Circuit circuit;
    const Node top = circuit.node("top");
    circuit.add_current_source("source", Node::ground, top, amperes);
    circuit.add_capacitor("junction", top, Node::ground, device::DepletionCapacitance<>{c0, phi, m, 0.0, 2e-9});
    const Run r = run(circuit, {voltage("v", "top")}, charge / amperes);
    check_close(r.end("v"), u * phi, 1e-8);
    check_close(r.energy("source"), energy, 1e-8);
    check_close(r.energy("junction"), energy, 1e-8);
    const double square = 0.5 * c0 * std::pow(1.0 + u, -m) * u * phi * u * phi;
    check_close(r.energy("source") / square, factor, 5e-5);
  }
}

}  // namespace
}  // namespace gateswing::simulate::test
