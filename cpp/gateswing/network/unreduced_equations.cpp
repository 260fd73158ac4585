#include "gateswing/network/unreduced_equations.h"

#include <stdexcept>

#include "gateswing/network/linear_form.h"

namespace gateswing::network {
namespace {

using Eigen::Index;

class Writer {
 public:
  explicit Writer(const Circuit& circuit) : circuit_(circuit) { result_.tree = find_normal_tree(circuit); }

  UnreducedEquations write() {
    find_parameters();
    require_sensed_voltages();
    number_states();
    find_branch_voltages();
    const auto n = static_cast<Index>(result_.states.size());
    result_.constant_mass.setZero(n, n);
    result_.mass_pattern.setZero(n, n);
    result_.state_matrix.setZero(n, n);
    result_.input_matrix.setZero(n, static_cast<Index>(circuit_.inputs().size()));
    result_.is_nonlinear_row.assign(result_.states.size(), false);
    result_.is_variable_row.assign(result_.states.size(), false);
    stamp_capacitors();
    stamp_inductors();
    stamp_resistors();
    stamp_current_sources();
    stamp_stored_charges();
    mark_nonlinear_rows();
    return std::move(result_);
  }

 private:
  static std::size_t at(Index index) { return static_cast<std::size_t>(index); }
  const Branch& branch(BranchIndex index) const { return circuit_.branches()[at(index)]; }
  Index tree_size() const { return static_cast<Index>(result_.tree.tree.size()); }
  Index link_size() const { return static_cast<Index>(result_.tree.links.size()); }

  void find_parameters() {
    input_of_.assign(circuit_.branches().size(), -1);
    inductance_of_.assign(circuit_.branches().size(), 0.0);
    initial_of_.assign(circuit_.branches().size(), 0.0);
    for (const VoltageSource& source : circuit_.voltage_sources())
      input_of_[at(source.branch)] = static_cast<int>(source.input);
    for (const CurrentSource& source : circuit_.current_sources())
      input_of_[at(source.branch)] = static_cast<int>(source.input);
    for (const Inductor& inductor : circuit_.inductors()) {
      inductance_of_[at(inductor.branch)] = inductor.inductance;
      initial_of_[at(inductor.branch)] = inductor.initial_current;
    }
    for (const Driver& driver : circuit_.drivers()) initial_of_[at(driver.upper)] = driver.initial_upper_voltage;
    for (const Capacitor& capacitor : circuit_.capacitors())
      initial_of_[at(capacitor.branch)] = capacitor.initial_voltage;
  }

  /// The voltage of a tree inductor follows from the derivatives of currents, too late for a law to look at.
  void require_sensed_voltages() const {
    for (Index l = 0; l < link_size(); ++l) {
      const Branch& link = branch(result_.tree.links[at(l)]);
      if (link.kind != BranchKind::sense) continue;
      for (Index k = 0; k < tree_size(); ++k) {
        const Branch& crossed = branch(result_.tree.tree[at(k)]);
        if (crossed.kind != BranchKind::inductor || result_.tree.incidence(k, l) == 0.0) continue;
        throw std::invalid_argument("the voltage '" + link.name + "' lies across the inductor '" + crossed.name +
                                    "', through which alone its node is fed: put a capacitance across it");
      }
    }
  }

  int add_state(BranchIndex index, StateKind kind) { return add_state(index, kind, initial_of_[at(index)]); }

  int add_state(BranchIndex index, StateKind kind, double initial) {
    result_.states.push_back({branch(index).name, kind, initial});
    return static_cast<int>(result_.states.size()) - 1;
  }

  void number_states() {
    const auto& tree = result_.tree;
    result_.tree_row.assign(tree.tree.size(), -1);
    result_.link_row.assign(tree.links.size(), -1);
    for (std::size_t k = 0; k < tree.tree.size(); ++k) {
      if (branch(tree.tree[k]).kind == BranchKind::capacitor)
        result_.tree_row[k] = add_state(tree.tree[k], StateKind::capacitor_voltage);
    }
    for (std::size_t l = 0; l < tree.links.size(); ++l) {
      if (branch(tree.links[l]).kind == BranchKind::inductor)
        result_.link_row[l] = add_state(tree.links[l], StateKind::inductor_current);
    }
    for (const Diode& diode : circuit_.diodes()) {
      const bool recovers = diode.law.transit_time > 0.0;
      result_.diode_row.push_back(recovers ? add_state(diode.branch, StateKind::stored_charge, diode.initial_current)
                                           : -1);
    }
    for (std::size_t k = 0; k < tree.tree.size(); ++k) {
      const BranchKind kind = branch(tree.tree[k]).kind;
      if (kind == BranchKind::resistor || kind == BranchKind::conduction)
        result_.tree_row[k] = add_state(tree.tree[k], StateKind::resistive_voltage);
    }
  }

  void find_branch_voltages() {
    const auto n = static_cast<Index>(result_.states.size());
    const auto inputs = static_cast<Index>(circuit_.inputs().size());
    result_.branch_voltages.assign(circuit_.branches().size(), zero_form(n, inputs));
    for (Index k = 0; k < tree_size(); ++k) {
      const BranchIndex b = result_.tree.tree[at(k)];
      LinearForm& form = result_.branch_voltages[at(b)];
      if (result_.tree_row[at(k)] >= 0) form.states[result_.tree_row[at(k)]] = 1.0;
      if (branch(b).kind == BranchKind::voltage_source) form.inputs[input_of_[at(b)]] = 1.0;
    }
    for (Index l = 0; l < link_size(); ++l) {
      LinearForm& form = result_.branch_voltages[at(result_.tree.links[at(l)])];
      for (Index k = 0; k < tree_size(); ++k) {
        const double sign = result_.tree.incidence(k, l);
        if (sign != 0.0) add_scaled(form, sign, result_.branch_voltages[at(result_.tree.tree[at(k)])]);
      }
    }
  }

  void stamp_capacitors() {
    for (const Capacitor& capacitor : circuit_.capacitors()) {
      const LinearForm& voltage = result_.branch_voltages[at(capacitor.branch)];
      require_constant_inputs(capacitor, voltage);
      const Eigen::MatrixXd stamp = voltage.states.transpose() * voltage.states;
      result_.mass_pattern += stamp.cwiseAbs();
      if (const auto* law = std::get_if<device::ConstantCapacitance<>>(&capacitor.law)) {
        result_.constant_mass += law->capacitance * stamp;
        continue;
      }
      for (Index row = 0; row < voltage.states.size(); ++row) {
        if (voltage.states[row] != 0.0) result_.is_variable_row[at(row)] = true;
      }
    }
  }

  void require_constant_inputs(const Capacitor& capacitor, const LinearForm& voltage) const {
    for (Index input = 0; input < voltage.inputs.size(); ++input) {
      if (voltage.inputs[input] == 0.0 || circuit_.inputs()[at(input)].is_constant()) continue;
      throw std::invalid_argument("capacitor '" + branch(capacitor.branch).name +
                                  "' lies across the changing voltage '" + circuit_.input_names()[at(input)] +
                                  "' with no resistance between: give the source one");
    }
  }

  void stamp_inductors() {
    for (Index l = 0; l < link_size(); ++l) {
      const int row = result_.link_row[at(l)];
      if (row < 0) continue;
      result_.constant_mass(row, row) += inductance_of_[at(result_.tree.links[at(l)])];
      const LinearForm& voltage = result_.branch_voltages[at(result_.tree.links[at(l)])];
      result_.state_matrix.row(row) += voltage.states;
      result_.state_matrix.col(row) -= voltage.states.transpose();
      result_.input_matrix.row(row) += voltage.inputs;
    }
    for (Index k = 0; k < tree_size(); ++k) {
      if (branch(result_.tree.tree[at(k)]).kind == BranchKind::inductor) stamp_tree_inductor(k);
    }
  }

  /// The current of a tree inductor is -sum D_kl i_l, so it adds D^T L D to the link inductances.
  void stamp_tree_inductor(Index k) {
    Eigen::RowVectorXd current = Eigen::RowVectorXd::Zero(result_.constant_mass.cols());
    for (Index l = 0; l < link_size(); ++l) {
      const double sign = result_.tree.incidence(k, l);
      if (sign == 0.0) continue;
      const BranchIndex link = result_.tree.links[at(l)];
      if (result_.link_row[at(l)] >= 0) current[result_.link_row[at(l)]] -= sign;
      const bool is_source = branch(link).kind == BranchKind::current_source;
      if (is_source && !circuit_.inputs()[at(input_of_[at(link)])].is_constant()) {
        throw std::invalid_argument("the changing current source '" + branch(link).name +
                                    "' feeds only the inductor '" + branch(result_.tree.tree[at(k)]).name +
                                    "': put a resistance or a diode beside it");
      }
    }
    result_.constant_mass += inductance_of_[at(result_.tree.tree[at(k)])] * current.transpose() * current;
  }

  void stamp_resistors() {
    for (const Resistor& resistor : circuit_.resistors()) {
      const LinearForm& voltage = result_.branch_voltages[at(resistor.branch)];
      result_.state_matrix -= voltage.states.transpose() * voltage.states / resistor.resistance;
      result_.input_matrix -= voltage.states.transpose() * voltage.inputs / resistor.resistance;
    }
  }

  void stamp_current_sources() {
    for (const CurrentSource& source : circuit_.current_sources()) {
      const LinearForm& voltage = result_.branch_voltages[at(source.branch)];
      result_.input_matrix.col(static_cast<Index>(source.input)) -= voltage.states.transpose();
    }
  }

  /// tau y' = i - y; the diode current i is stamped by the evaluator.
  void stamp_stored_charges() {
    for (std::size_t d = 0; d < circuit_.diodes().size(); ++d) {
      const int row = result_.diode_row[d];
      if (row < 0) continue;
      result_.constant_mass(row, row) = circuit_.diodes()[d].law.lifetime;
      result_.state_matrix(row, row) = -1.0;
    }
  }

  void mark_nonlinear_rows() {
    for (std::size_t b = 0; b < circuit_.branches().size(); ++b) {
      const BranchKind kind = circuit_.branches()[b].kind;
      if (kind != BranchKind::conduction && kind != BranchKind::sense) continue;
      const Eigen::RowVectorXd& states = result_.branch_voltages[b].states;
      for (Index row = 0; row < states.size(); ++row) {
        if (states[row] != 0.0) result_.is_nonlinear_row[at(row)] = true;
      }
    }
  }

  const Circuit& circuit_;
  UnreducedEquations result_;
  std::vector<int> input_of_;
  std::vector<double> inductance_of_;
  std::vector<double> initial_of_;
};

}  // namespace

UnreducedEquations write_equations(const Circuit& circuit) {
  return Writer(circuit).write();
}

}  // namespace gateswing::network
