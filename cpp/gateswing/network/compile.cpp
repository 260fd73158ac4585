// Reduction of a circuit to its state equations.
#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>

#include "gateswing/network/compiled_network.h"
#include "gateswing/network/linear_form.h"
#include "gateswing/network/state_selection.h"
#include "gateswing/network/unreduced_equations.h"

namespace gateswing::network {
namespace {

using Eigen::Index;

std::size_t at(Index index) {
  return static_cast<std::size_t>(index);
}

class Reducer {
 public:
  Reducer(const Circuit& circuit, UnreducedEquations equations)
      : circuit_(circuit), equations_(std::move(equations)), selection_(select_states(equations_)) {}

  CompiledNetwork reduce() {
    reduce_matrices();
    copy_names();
    make_ports();
    make_branch_voltages();
    make_laws();
    make_branch_currents();
    make_node_potentials();
    make_ledger();
    return std::move(result_);
  }

 private:
  const std::string& name_of(BranchIndex branch) const { return circuit_.branches()[at(branch)].name; }
  Index input_size() const { return static_cast<Index>(circuit_.inputs().size()); }

  void reduce_matrices() {
    const auto& kept = selection_.kept;
    const auto& gone = selection_.eliminated;
    const Eigen::MatrixXd& k = equations_.state_matrix;
    const Eigen::MatrixXd& s = equations_.input_matrix;
    // The eliminated block is minus the conductance matrix of a connected resistive network, so it is regular.
    const Eigen::MatrixXd block = k(gone, gone);
    const Eigen::PartialPivLU<Eigen::MatrixXd> lu(block);
    // With an empty side Eigen's solver would bind references to a first element that is not there.
    const auto solved = [&](const Eigen::MatrixXd& right) -> Eigen::MatrixXd {
      if (right.size() == 0) return right;
      return -lu.solve(right);
    };
    eliminated_states_ = solved(k(gone, kept));
    eliminated_inputs_ = solved(s(gone, Eigen::all));
    result_.constant_mass = equations_.constant_mass(kept, kept);
    result_.state_matrix = k(kept, kept) + k(kept, gone) * eliminated_states_;
    result_.input_matrix = s(kept, Eigen::all) + k(kept, gone) * eliminated_inputs_;
    result_.variable_size = selection_.variable_size;
    result_.differential_size = selection_.differential_size;
    for (const int state : kept) result_.states.push_back(equations_.states[at(state)]);
  }

  void copy_names() {
    result_.inputs = circuit_.inputs();
    result_.input_names = circuit_.input_names();
    result_.node_names = circuit_.node_names();
    for (const Branch& branch : circuit_.branches()) result_.branch_names.push_back(branch.name);
  }

  LinearForm reduced(const LinearForm& form) const {
    const Eigen::RowVectorXd eliminated = form.states(selection_.eliminated);
    return {form.states(selection_.kept) + eliminated * eliminated_states_,
            form.inputs + eliminated * eliminated_inputs_};
  }

  int reduced_row(int state) const {
    const auto found = std::ranges::find(selection_.kept, state);
    return found == selection_.kept.end() ? -1 : static_cast<int>(found - selection_.kept.begin());
  }

  PortIndex add_port(Port port) {
    result_.ports.push_back(std::move(port));
    return static_cast<PortIndex>(result_.ports.size()) - 1;
  }

  /// A port for every branch a nonlinear law looks at; such branches never touch an eliminated state.
  void make_ports() {
    port_of_branch_.assign(circuit_.branches().size(), -1);
    for (std::size_t b = 0; b < circuit_.branches().size(); ++b) {
      const BranchKind kind = circuit_.branches()[b].kind;
      if (kind != BranchKind::conduction && kind != BranchKind::sense && kind != BranchKind::capacitor) continue;
      const LinearForm& voltage = equations_.branch_voltages[b];
      Port port;
      for (Index s = 0; s < voltage.states.size(); ++s) {
        if (voltage.states[s] != 0.0) port.states.push_back({reduced_row(static_cast<int>(s)), voltage.states[s]});
      }
      for (Index u = 0; u < voltage.inputs.size(); ++u) {
        if (voltage.inputs[u] != 0.0) port.inputs.push_back({static_cast<int>(u), voltage.inputs[u]});
      }
      port_of_branch_[b] = add_port(std::move(port));
    }
  }

  void make_laws() {
    const auto port = [&](BranchIndex b) { return port_of_branch_[at(b)]; };
    for (const Channel& c : circuit_.channels()) {
      result_.channels.push_back({c.law, port(c.gate_source), port(c.drain_source)});
      result_.channel_names.push_back(name_of(c.drain_source));
    }
    for (std::size_t d = 0; d < circuit_.diodes().size(); ++d) {
      const Diode& diode = circuit_.diodes()[d];
      const int row = equations_.diode_row[d];
      result_.diodes.push_back(
          {diode.law, port(diode.branch), row < 0 ? -1 : add_port({{{reduced_row(row), 1.0}}, {}})});
      result_.diode_names.push_back(name_of(diode.branch));
    }
    for (const Knee& knee : circuit_.knees()) {
      result_.knees.push_back({knee.law, port(knee.branch)});
      result_.knee_names.push_back(name_of(knee.branch));
    }
    for (const Driver& driver : circuit_.drivers()) {
      result_.drivers.push_back({driver.law, port(driver.upper), port(driver.lower), static_cast<int>(driver.command)});
      result_.driver_names.push_back(driver.name);
    }
    for (const Capacitor& capacitor : circuit_.capacitors()) {
      const PortIndex p = port(capacitor.branch);
      result_.capacitors.push_back({name_of(capacitor.branch), capacitor.law, p});
      if (const auto* depletion = std::get_if<device::DepletionCapacitance<>>(&capacitor.law)) {
        result_.depletion_capacitors.push_back({*depletion, p});
      } else if (const auto* step = std::get_if<device::StepCapacitance<>>(&capacitor.law)) {
        result_.step_capacitors.push_back({*step, p});
      }
    }
  }

  CurrentForm zero_current() const { return {zero_form(result_.state_matrix.cols(), input_size()), {}, {}}; }

  /// Currents that a constitutive law gives; sources and tree inductors follow from Kirchhoff's current law.
  void make_branch_currents() {
    result_.branch_currents.assign(circuit_.branches().size(), zero_current());
    for (const Resistor& resistor : circuit_.resistors()) {
      add_scaled(result_.branch_currents[at(resistor.branch)].linear, 1.0 / resistor.resistance,
                 voltages_[at(resistor.branch)]);
    }
    for (std::size_t b = 0; b < circuit_.branches().size(); ++b) {
      if (circuit_.branches()[b].kind == BranchKind::conduction)
        result_.branch_currents[b].conducting_ports.emplace_back(port_of_branch_[b], 1.0);
    }
    for (std::size_t c = 0; c < circuit_.capacitors().size(); ++c) {
      result_.branch_currents[at(circuit_.capacitors()[c].branch)].capacitors.emplace_back(static_cast<int>(c), 1.0);
    }
    for (const CurrentSource& source : circuit_.current_sources()) {
      result_.branch_currents[at(source.branch)].linear.inputs[static_cast<Index>(source.input)] = 1.0;
    }
    const auto& tree = equations_.tree;
    for (std::size_t l = 0; l < tree.links.size(); ++l) {
      if (equations_.link_row[l] < 0) continue;
      result_.branch_currents[at(tree.links[l])].linear.states[reduced_row(equations_.link_row[l])] = 1.0;
    }
    for (std::size_t k = 0; k < tree.tree.size(); ++k) {
      if (equations_.tree_row[k] >= 0) continue;
      for (std::size_t l = 0; l < tree.links.size(); ++l) {
        const double sign = tree.incidence(static_cast<Index>(k), static_cast<Index>(l));
        if (sign != 0.0)
          add_scaled(result_.branch_currents[at(tree.tree[k])], -sign, result_.branch_currents[at(tree.links[l])]);
      }
    }
  }

  /// Branch voltages over the reduced states, without tree inductors (their voltage is added to node potentials).
  void make_branch_voltages() {
    for (const LinearForm& form : equations_.branch_voltages) voltages_.push_back(reduced(form));
  }

  /// Voltage of a tree inductor: L times the derivative of its current, which the link inductors' rows of M x' = f
  /// give.
  LinearForm tree_inductor_voltage(BranchIndex branch, double inductance) const {
    const Eigen::RowVectorXd current = result_.branch_currents[at(branch)].linear.states;
    const Index first = inductor_begin();
    const Index count = inductor_end() - first;
    const Eigen::MatrixXd mass = result_.constant_mass.block(first, first, count, count);
    const Eigen::RowVectorXd weights =
        inductance * mass.llt().solve(current.segment(first, count).transpose()).transpose();
    return {weights * result_.state_matrix.middleRows(first, count),
            weights * result_.input_matrix.middleRows(first, count)};
  }

  Index inductor_begin() const { return count_until(StateKind::inductor_current); }
  Index inductor_end() const {
    return inductor_begin() + std::ranges::count(result_.states, StateKind::inductor_current, &State::kind);
  }
  Index count_until(StateKind kind) const {
    return std::ranges::find(result_.states, kind, &State::kind) - result_.states.begin();
  }

  void make_node_potentials() {
    const auto& tree = equations_.tree;
    std::vector<LinearForm> tree_voltages;
    for (const BranchIndex b : tree.tree) tree_voltages.push_back(voltages_[at(b)]);
    for (const Inductor& inductor : circuit_.inductors()) {
      const auto found = std::ranges::find(tree.tree, inductor.branch);
      if (found == tree.tree.end()) continue;
      tree_voltages[at(found - tree.tree.begin())] = tree_inductor_voltage(inductor.branch, inductor.inductance);
    }
    for (Index node = 0; node < tree.node_potential.rows(); ++node) {
      LinearForm potential = zero_form(result_.state_matrix.cols(), input_size());
      for (std::size_t k = 0; k < tree_voltages.size(); ++k) {
        add_scaled(potential, tree.node_potential(node, static_cast<Index>(k)), tree_voltages[k]);
      }
      result_.node_potentials.push_back(std::move(potential));
    }
  }

  void make_ledger() {
    for (const Resistor& resistor : circuit_.resistors()) {
      result_.resistors.push_back(
          {name_of(resistor.branch), 1.0 / resistor.resistance, voltages_[at(resistor.branch)]});
    }
    for (const Inductor& inductor : circuit_.inductors()) {
      result_.inductors.push_back(
          {name_of(inductor.branch), inductor.inductance, result_.branch_currents[at(inductor.branch)].linear});
    }
    for (const VoltageSource& source : circuit_.voltage_sources()) {
      const PiecewiseLinear& voltage = circuit_.inputs()[at(static_cast<Index>(source.input))];
      if (voltage.is_constant() && voltage.value(0.0) == 0.0) continue;
      result_.sources.push_back({name_of(source.branch), static_cast<int>(source.input),
                                 result_.branch_currents[at(source.branch)], voltages_[at(source.branch)]});
    }
    for (const CurrentSource& source : circuit_.current_sources()) {
      const LinearForm voltage = difference(potential(source.branch, true), potential(source.branch, false));
      result_.sources.push_back({name_of(source.branch), static_cast<int>(source.input),
                                 result_.branch_currents[at(source.branch)], voltage});
    }
  }

  const LinearForm& potential(BranchIndex b, bool plus) const {
    const Branch& branch = circuit_.branches()[at(b)];
    return result_.node_potentials[at(static_cast<Index>(plus ? branch.plus : branch.minus))];
  }

  const Circuit& circuit_;
  UnreducedEquations equations_;
  StateSelection selection_;
  CompiledNetwork result_;
  Eigen::MatrixXd eliminated_states_;
  Eigen::MatrixXd eliminated_inputs_;
  std::vector<PortIndex> port_of_branch_;
  std::vector<LinearForm> voltages_;
};

}  // namespace

CompiledNetwork compile(const Circuit& circuit) {
  return Reducer(circuit, write_equations(circuit)).reduce();
}

}  // namespace gateswing::network
