// Circuits made of arbitrary bytes, and what the core must do with any of them: refuse in words, or end with a status.
//
// A fuzzer changes the bytes one by one, so each decision takes its own byte; elements follow each other as long as
// there are bytes. Most values are spread over the decades of switching cells, so that runs get somewhere; one in 256
// is a number that no circuit has.
#pragma once

#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <span>
#include <stdexcept>
#include <string>
#include <vector>

#include "gateswing/network/circuit.h"
#include "gateswing/network/compiled_network.h"
#include "gateswing/network/probe.h"
#include "gateswing/simulate/recorder.h"
#include "gateswing/simulate/simulator.h"

namespace gateswing::simulate::test {

enum class Fate { refused, without_start, unfinished, finished };

class CircuitOfBytes {
 public:
  explicit CircuitOfBytes(std::span<const std::uint8_t> bytes) : bytes_(bytes) {}

  network::Circuit circuit() {
    network::Circuit result;
    node_count_ = 2 + below(6);
    for (int k = 0; k < most_elements && !bytes_.empty(); ++k) add_element(result, k);
    return result;
  }

  int below(int count) { return byte() % count; }

  /// Spread over the decades from `low` to `high`, both above zero; now and then a number that makes no sense.
  double spread(double low, double high) {
    const int position = byte();
    if (position == 255) return hostile(below(16));
    return low * std::pow(high / low, position / 254.0);
  }

 private:
  static constexpr int most_elements = 40;

  std::uint8_t byte() {
    if (bytes_.empty()) return 0;
    const std::uint8_t first = bytes_.front();
    bytes_ = bytes_.subspan(1);
    return first;
  }

  static double hostile(int which) {
    using Limits = std::numeric_limits<double>;
    constexpr std::array<double, 16> values{0.0,
                                            -1.0,
                                            Limits::quiet_NaN(),
                                            Limits::infinity(),
                                            -Limits::infinity(),
                                            1e300,
                                            1e30,
                                            Limits::denorm_min(),
                                            Limits::min(),
                                            Limits::max(),
                                            -1e300,
                                            -0.0,
                                            Limits::epsilon(),
                                            1e-30,
                                            1e15,
                                            0.0};
    return values.at(static_cast<std::size_t>(which));
  }

  double either_sign(double low, double high) { return below(2) == 0 ? spread(low, high) : -spread(low, high); }

  network::Node node(network::Circuit& circuit) {
    const int number = below(node_count_);
    return circuit.node(number == 0 ? "ground" : std::string(1, static_cast<char>('a' + number)));
  }

  network::PiecewiseLinear input(double low, double high) {
    const int corners = below(5);
    if (corners == 0) return network::PiecewiseLinear(either_sign(low, high));
    std::vector<network::Corner> course;
    double time = 0.0;
    for (int k = 0; k < corners; ++k) {
      time += spread(1e-12, 1e-6);
      course.push_back({time, either_sign(low, high)});
    }
    return network::PiecewiseLinear(std::move(course));
  }

  network::CapacitanceLaw capacitance() {
    const int law = below(3);
    if (law == 0) return device::ConstantCapacitance<>{spread(1e-13, 1e-3)};
    if (law == 1) {
      const double zero_bias = spread(1e-12, 1e-8);
      return device::DepletionCapacitance<>{zero_bias, spread(0.1, 10.0), spread(0.05, 0.99), spread(1e-14, 1e-9),
                                            zero_bias * spread(1.01, 100.0)};
    }
    return device::StepCapacitance<>{spread(1e-12, 1e-8), spread(1e-12, 1e-8), either_sign(0.1, 100.0),
                                     spread(1e-3, 10.0)};
  }

  void add_element(network::Circuit& circuit, int number) {
    // Now and then a name that is taken.
    const int kind = byte();
    const std::string name = "e" + std::to_string(kind == 255 ? 0 : number);
    const network::Node a = node(circuit);
    network::Node b = node(circuit);
    if (b == a && kind != 254) b = circuit.node(a == network::Node::ground ? "b" : "ground");
    switch (kind % 10) {
      case 0:
        return circuit.add_voltage_source(name, a, b, input(1e-3, 1e3));
      case 1:
        return circuit.add_current_source(name, a, b, input(1e-3, 1e3));
      case 2:
        return circuit.add_resistor(name, a, b, spread(1e-4, 1e7));
      case 3:
        return circuit.add_inductor(name, a, b, spread(1e-10, 1.0), either_sign(1e-3, 1e2));
      case 4:
        return circuit.add_capacitor(name, a, b, capacitance(), either_sign(1e-3, 1e3));
      default:
        return add_law(circuit, name, a, b);
    }
  }

  void add_law(network::Circuit& circuit, const std::string& name, network::Node a, network::Node b) {
    const int kind = below(4);
    if (kind == 0) {
      const double transit_time = below(2) == 0 ? 0.0 : spread(1e-10, 1e-6);
      return circuit.add_diode(name, a, b, {spread(1e-18, 1e-3), spread(0.02, 0.1), transit_time, spread(1e-10, 1e-5)},
                               either_sign(1e-3, 1e2));
    }
    if (kind == 1) return circuit.add_knee(name, a, b, {spread(0.1, 1e3), spread(1e-4, 1e3), spread(1e-3, 1.0)});
    const network::Node c = node(circuit);
    if (kind == 2) {
      return circuit.add_channel(name, c, a, b,
                                 {either_sign(0.1, 10.0), spread(1e-3, 1e4), spread(1e-3, 1.0), spread(0.02, 0.5)});
    }
    const network::InputIndex command = circuit.add_input(name + ".command", input(1e-3, 1.0));
    circuit.add_driver(name, a, c, b, command,
                       {spread(0.1, 1e4), spread(0.1, 1e4), spread(1e-2, 1e3), spread(1e-2, 1e3), spread(1e-2, 2.0),
                        spread(1e-2, 2.0), spread(1e-2, 0.5), spread(1e-9, 1e-3)},
                       either_sign(0.1, 100.0));
  }

  std::span<const std::uint8_t> bytes_;
  int node_count_ = 0;
};

/// Compiles and runs the circuit of `bytes`, for at most 500 steps between two corners of its inputs.
///
/// Throws std::logic_error where an answer called a success is not finite; whatever else is thrown or breaks is a
/// finding too, except a refusal by std::invalid_argument.
inline Fate run_network_of(std::span<const std::uint8_t> bytes) {
  CircuitOfBytes draw(bytes);
  Settings settings;
  settings.maximum_steps = 500;
  const double end = 1e-9 * std::pow(10.0, draw.below(6));
  settings.relative_tolerance = std::pow(10.0, -2 - draw.below(8));
  try {
    const network::Circuit circuit = draw.circuit();
    Simulator simulator(network::compile(circuit));
    std::vector<network::Probe> probes;
    for (const std::string& name : circuit.node_names()) {
      probes.push_back(network::voltage_probe(simulator.network(), name, name, "ground"));
    }
    Recorder recorder(simulator.network(), std::move(probes));
    if (!simulator.start(0.0)) return Fate::without_start;
    const Interval interval = simulator.advance(end, settings, &recorder);
    if (interval.status != integrate::Status::success) return Fate::unfinished;
    if (interval.end_time != end || !interval.end_state.allFinite() || !interval.integrals.allFinite()) {
      throw std::logic_error("a run called a success is not finite or did not reach its end");
    }
    const double residual = simulator.ledger(interval).energy_residual;
    if (std::isinf(residual)) throw std::logic_error("the ledger of a success is infinite");
    return Fate::finished;
  } catch (const std::logic_error& error) {
    if (dynamic_cast<const std::invalid_argument*>(&error) == nullptr) throw;
    return Fate::refused;
  }
}

}  // namespace gateswing::simulate::test
