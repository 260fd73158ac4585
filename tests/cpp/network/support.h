// What the network tests share: one instant of a compiled circuit, and the text of a refusal.
#pragma once

#include <Eigen/LU>
#include <algorithm>
#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

#include "gateswing/integrate/consistent.h"
#include "gateswing/network/compiled_network.h"
#include "gateswing/network/network_system.h"
#include "gateswing/network/probe.h"

namespace gateswing::network::test {

/// The sentence with which `action` refuses its input; empty if it does not.
template <class Action>
std::string refusal(Action&& action) {
  try {
    action();
  } catch (const std::invalid_argument& error) {
    return error.what();
  }
  return {};
}

/// "prefix7"
inline std::string numbered(std::string prefix, int number) {
  return prefix.append(std::to_string(number));
}

inline std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}
inline std::size_t at(Node node) {
  return static_cast<std::size_t>(node);
}
inline std::size_t at(InputIndex input) {
  return static_cast<std::size_t>(input);
}

/// Potentials [V], currents [A] and their rates of change [V/s], [A/s].
struct Instant {
  std::vector<double> potential;       ///< by node
  std::vector<double> current;         ///< by branch
  std::vector<double> potential_rate;  ///< by node; means something across capacitors only
  std::vector<double> current_rate;    ///< by branch; means something for inductors only

  [[nodiscard]] double voltage(const Branch& branch) const {
    return potential[at(branch.plus)] - potential[at(branch.minus)];
  }
  [[nodiscard]] double voltage_rate(const Branch& branch) const {
    return potential_rate[at(branch.plus)] - potential_rate[at(branch.minus)];
  }
};

/// Solves a circuit at one time and state, and reads everything the probes can give.
class Snapshot {
 public:
  static constexpr int most_states = 28;
  using System = NetworkSystem<most_states>;
  using Vector = System::Vector;

  explicit Snapshot(const Circuit& circuit)
      : nodes_(circuit.node_names().size()),
        branches_(circuit.branches().size()),
        network_(compile(circuit)),
        system_(network_),
        reader_(network_, everything(network_)) {}

  [[nodiscard]] const CompiledNetwork& network() const { return network_; }
  [[nodiscard]] System& system() { return system_; }

  /// Takes the differential states from `state` and solves for the others; nothing where they have no solution.
  std::optional<Instant> solve(double time, const Eigen::VectorXd& state) {
    system_.enter_segment(network_.inputs, time);
    reader_.enter_segment(network_.inputs, time);
    Vector x = Vector::Zero();
    x.head(network_.size()) = state;
    if (!integrate::make_consistent(system_, time, x, Vector(Vector::Ones()))) return std::nullopt;
    const Vector rates = derivative(time, x);
    const double reach = 1.0 / std::max(1e-3, rates.cwiseAbs().maxCoeff());
    const std::vector<double> here = read(time, x);
    const std::vector<double> before = read(time, x - reach * rates);
    const std::vector<double> after = read(time, x + reach * rates);
    Instant result;
    for (std::size_t p = 0; p < here.size(); ++p) {
      const double rate = (after[p] - before[p]) / (2.0 * reach);
      (p < nodes_ ? result.potential : result.current).push_back(here[p]);
      (p < nodes_ ? result.potential_rate : result.current_rate).push_back(rate);
    }
    return result;
  }

  /// x' of the differential states, 0 for the others.
  Vector derivative(double time, const Vector& x) {
    System::Matrix mass;
    System::Matrix jacobian;
    Vector time_derivative;
    Vector f;
    System::Integrals integrands;
    system_.linearize(time, x, mass, jacobian, time_derivative);
    system_.residual(time, x, f, integrands);
    const int n = network_.differential_size;
    const Eigen::MatrixXd block = mass.topLeftCorner(n, n);
    Vector rates = Vector::Zero();
    if (n > 0) rates.head(n) = block.lu().solve(f.head(n));
    return rates;
  }

 private:
  static std::vector<Probe> everything(const CompiledNetwork& network) {
    std::vector<Probe> probes;
    for (const std::string& node : network.node_names) probes.push_back(voltage_probe(network, node, node, "ground"));
    for (const std::string& branch : network.branch_names) probes.push_back(current_probe(network, branch, branch));
    return probes;
  }

  std::vector<double> read(double time, const Vector& x) {
    std::vector<double> values(nodes_ + branches_);
    reader_.read(time, Eigen::VectorXd(x), values);
    return values;
  }

  std::size_t nodes_;
  std::size_t branches_;
  CompiledNetwork network_;
  System system_;
  ProbeReader reader_;
};

}  // namespace gateswing::network::test
