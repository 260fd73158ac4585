// Voltages and currents of a compiled network at a given state, for recording.
#pragma once

#include <Eigen/Core>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "gateswing/network/compiled_network.h"
#include "gateswing/network/conduction.h"
#include "gateswing/network/sparse_forms.h"
#include "gateswing/network/variable_capacitance.h"

namespace gateswing::network {

/// One recorded quantity: a voltage between two nodes, or the current of a branch.
struct Probe {
  std::string name;
  std::string unit;
  CurrentForm form;  ///< a voltage has a linear part only
};

/// v(plus) - v(minus) [V]; nodes by name. Throws std::invalid_argument for an unknown node.
Probe voltage_probe(const CompiledNetwork& network, std::string name, std::string_view plus, std::string_view minus);

/// Current of a branch, plus to minus [A]; by name. Throws std::invalid_argument for an unknown branch.
Probe current_probe(const CompiledNetwork& network, std::string name, std::string_view branch);

/// Evaluates a set of probes along a trajectory.
class ProbeReader {
 public:
  ProbeReader(const CompiledNetwork& network, std::vector<Probe> probes);

  void enter_segment(std::span<const PiecewiseLinear> inputs, double time);

  /// Values of all probes at state x (the network's states, padding allowed behind) at time t [s].
  void read(double t, const Eigen::Ref<const Eigen::VectorXd>& x, std::span<double> values);

  [[nodiscard]] const std::vector<Probe>& probes() const { return probes_; }

 private:
  void find_capacitor_rates(const Eigen::Ref<const Eigen::VectorXd>& x);

  std::vector<Probe> probes_;
  std::vector<StoredCapacitor> capacitors_;
  Eigen::MatrixXd constant_mass_;
  int capacitor_voltages_;  ///< the leading states
  SparseForms linear_;      ///< linear part of each probe
  SparseForms right_hand_;  ///< linear part of f, needed where a probe reads a capacitor's current
  Conduction conduction_;
  VariableCapacitance variable_;
  std::vector<Segment> segments_;
  double segment_start_ = 0.0;
  bool needs_rates_ = false;
  Eigen::VectorXd right_hand_side_, rates_;
  Eigen::MatrixXd mass_;
};

}  // namespace gateswing::network
