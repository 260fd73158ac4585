// Random circuits of every kind of element between few nodes, most of them with loops of capacitors and cutsets of
// inductors. All quantities are of order one, so that rounding stays far below what the tests look for.
#pragma once

#include <random>
#include <string>

#include "gateswing/network/circuit.h"
#include "network/support.h"

namespace gateswing::network::test {

class CircuitDraw {
 public:
  explicit CircuitDraw(unsigned seed) : engine_(seed) {}

  double uniform(double low, double high) { return low + (high - low) * unit_(engine_); }
  int below(int count) { return std::min(count - 1, static_cast<int>(unit_(engine_) * count)); }

  /// Says what it draws in `description`, so that a failing case can be built by hand.
  Circuit circuit() {
    Circuit result;
    description.clear();
    node_count_ = 3 + below(4);
    const int elements = node_count_ + below(2 * node_count_ + 2);
    for (int k = 0; k < elements; ++k) add_element(result, std::to_string(k));
    return result;
  }

  Eigen::VectorXd state(int size) {
    Eigen::VectorXd x(size);
    for (double& value : x) value = uniform(-1.0, 1.0);
    return x;
  }

  std::string description;

 private:
  Node pick(Circuit& circuit) {
    const int number = below(node_count_);
    return number == 0 ? Node::ground : circuit.node(numbered("n", number));
  }
  Node pick_other(Circuit& circuit, Node taken, Node also_taken) {
    while (true) {
      const Node node = pick(circuit);
      if (node != taken && node != also_taken) return node;
    }
  }
  double size() { return uniform(0.3, 3.0); }
  PiecewiseLinear constant() { return PiecewiseLinear(uniform(-1.0, 1.0)); }
  PiecewiseLinear ramp() { return PiecewiseLinear({{-1.0, uniform(-1.0, 1.0)}, {1.0, uniform(-1.0, 1.0)}}); }
  /// A fifth of the resistances and inductances is a short.
  double size_or_zero() { return below(5) == 0 ? 0.0 : size(); }

  void add_element(Circuit& circuit, const std::string& name) {
    const Node a = pick(circuit);
    const Node b = pick_other(circuit, a, a);
    const int kind = below(20);
    description += name + ": kind " + std::to_string(kind) + " " + std::to_string(static_cast<int>(a)) + "-" +
                   std::to_string(static_cast<int>(b)) + "; ";
    if (kind < 4) return circuit.add_resistor(name, a, b, size_or_zero());
    if (kind < 8) return circuit.add_inductor(name, a, b, size_or_zero());
    if (kind < 13) return circuit.add_capacitor(name, a, b, capacitance());
    if (kind < 15) return circuit.add_voltage_source(name, a, b, kind == 13 ? constant() : ramp());
    if (kind < 16) return circuit.add_current_source(name, a, b, below(2) == 0 ? constant() : ramp());
    add_law(circuit, name, a, b, kind);
  }

  void add_law(Circuit& circuit, const std::string& name, Node a, Node b, int kind) {
    if (kind == 16) return circuit.add_diode(name, a, b, {0.1, 0.4, below(2) == 0 ? 0.0 : size(), size()});
    if (kind == 17) return circuit.add_knee(name, a, b, {uniform(0.0, 1.0), size(), uniform(0.2, 0.5)});
    const Node c = pick_other(circuit, a, b);
    description += std::to_string(static_cast<int>(c)) + "; ";
    if (kind == 18) return circuit.add_channel(name, c, a, b, {uniform(-0.5, 0.5), size(), 0.3, 0.1});
    const InputIndex command = circuit.add_input(name + ".command", PiecewiseLinear({{-1.0, 0.0}, {1.0, 1.0}}));
    circuit.add_driver(name, a, c, b, command, {size(), size(), 0.3, 0.5, 0.2, 0.1, 0.2});
  }

  CapacitanceLaw capacitance() {
    const int law = below(3);
    if (law == 0) return device::ConstantCapacitance<>{size()};
    if (law == 1) return device::DepletionCapacitance<>{1.0, 0.7, uniform(0.2, 0.8), uniform(0.0, 0.5), 2.5};
    return device::StepCapacitance<>{size(), size(), uniform(-1.0, 1.0), 0.5};
  }

  std::mt19937 engine_;
  std::uniform_real_distribution<double> unit_{0.0, 1.0};
  int node_count_ = 0;
};

}  // namespace gateswing::network::test
