// A circuit reduced to its state equations M(x) x' = f(x, t): constant matrices, port lists, ledger.
#pragma once

#include <Eigen/Core>
#include <string>
#include <utility>
#include <vector>

#include "gateswing/network/circuit.h"

namespace gateswing::network {

/// states . x + inputs . u
struct LinearForm {
  Eigen::RowVectorXd states;
  Eigen::RowVectorXd inputs;
};

/// One signed entry of a port's voltage: sign times a state (or an input).
struct PortTerm {
  int index;
  double sign;
};

/// A branch that a nonlinear law looks at. Its voltage is the signed sum of its terms; by duality of cutsets and loops
/// (v = B x, f = -B^T i) its current leaves the rows of the same states with the same signs.
struct Port {
  std::vector<PortTerm> states;
  std::vector<PortTerm> inputs;
};

using PortIndex = int;

struct ChannelPorts {
  device::MosfetChannel<> law;
  PortIndex gate_source;
  PortIndex drain_source;
};
struct DiodePort {
  device::JunctionDiode<> law;
  PortIndex port;
  PortIndex charge;  ///< reads the stored-charge current, -1 for a diode without recovery
};
struct KneePort {
  device::KneeConduction<> law;
  PortIndex port;
};
struct DriverPorts {
  device::DriverOutput<> law;
  PortIndex upper;
  PortIndex lower;
  int command;  ///< input
};
template <class Law>
struct CapacitorPort {
  Law law;
  PortIndex port;
};

/// Current of any branch: linear part plus weighted port currents plus weighted capacitor currents C(v) dv/dt.
struct CurrentForm {
  LinearForm linear;
  std::vector<std::pair<PortIndex, double>> conducting_ports;
  std::vector<std::pair<int, double>> capacitors;  ///< index into CompiledNetwork::capacitors
};

enum class StateKind { capacitor_voltage, inductor_current, resistive_voltage, stored_charge };

struct State {
  std::string name;
  StateKind kind;
  double initial;  ///< [V] or [A]
};

/// Capacitor with everything the energy ledger and the probes need, whatever its law.
struct StoredCapacitor {
  std::string name;
  CapacitanceLaw law;
  PortIndex port;
};

/// Inductor current as a linear form, for the stored energy L i^2 / 2.
struct StoredInductor {
  std::string name;
  double inductance;  ///< [H]
  LinearForm current;
};

struct ResistorLoss {
  std::string name;
  double conductance;  ///< [S]
  LinearForm voltage;
};

/// Voltage and current of a source, for the power v i it absorbs. What capacitors add to the current of a constant
/// voltage is accounted exactly by their charge (see ledger.h).
struct SourcePower {
  std::string name;
  int input;
  CurrentForm current;
  LinearForm voltage;
};

/// Largest number of energy and charge integrals an evaluator of networks of at most so many states has room for.
constexpr int integral_capacity(int states) {
  return states <= 8 ? 24 : states <= 16 ? 36 : 48;
}

/// Result of compile(), of which only the commands of drivers may change: other inputs are built into it. Order of
/// states: capacitor voltages whose block of M depends on the state (the first `variable_size`), other capacitor
/// voltages, inductor currents, stored charges (all differential), then resistive voltages that a nonlinear law fixes
/// (algebraic, zero rows of M).
struct CompiledNetwork {
  std::vector<State> states;
  int variable_size = 0;
  int differential_size = 0;
  Eigen::MatrixXd constant_mass;  ///< M without the nonlinear capacitors, (n, n)
  Eigen::MatrixXd state_matrix;   ///< linear part of f, (n, n)
  Eigen::MatrixXd input_matrix;   ///< (n, inputs)
  std::vector<std::string> input_names;
  std::vector<PiecewiseLinear> inputs;

  std::vector<Port> ports;
  std::vector<ChannelPorts> channels;
  std::vector<DiodePort> diodes;
  std::vector<KneePort> knees;
  std::vector<DriverPorts> drivers;
  std::vector<CapacitorPort<device::DepletionCapacitance<>>> depletion_capacitors;
  std::vector<CapacitorPort<device::StepCapacitance<>>> step_capacitors;

  std::vector<StoredCapacitor> capacitors;
  std::vector<StoredInductor> inductors;
  std::vector<ResistorLoss> resistors;
  std::vector<SourcePower> sources;
  std::vector<std::string> channel_names, diode_names, knee_names, driver_names;

  std::vector<std::string> node_names;
  std::vector<std::string> branch_names;
  std::vector<LinearForm> node_potentials;   ///< by node
  std::vector<CurrentForm> branch_currents;  ///< by branch

  /// Replaces what a driver is told from now on. Throws std::invalid_argument for any other input: the equations, the
  /// energies and what was found allowed rest on its waveform.
  void set_command(InputIndex input, PiecewiseLinear command);

  [[nodiscard]] int size() const { return static_cast<int>(states.size()); }
  [[nodiscard]] Eigen::VectorXd initial_state() const;
  [[nodiscard]] int integral_count() const;
};

/// Reduces a circuit to state equations by its normal tree.
///
/// With tree branches t, links l and D from find_normal_tree, Kirchhoff's laws give for
///   tree capacitors   C_k v_k' + sum over capacitor links D_kl C_l v_l'  = -(sum over other links D_kl i_l)
///   link inductors    L_j i_j' - sum over tree inductors D_kj v_k        =  sum over other tree branches D_kj v_k
///   tree resistances  0 = -i_k(v_k) - sum over links D_kl i_l
/// Resistive voltages that no nonlinear law sees are eliminated once, here. Throws std::invalid_argument in words.
CompiledNetwork compile(const Circuit& circuit);

}  // namespace gateswing::network
