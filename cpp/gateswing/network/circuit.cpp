#include "gateswing/network/circuit.h"

#include <algorithm>
#include <stdexcept>

#include "gateswing/network/element_checks.h"

namespace gateswing::network {

Node Circuit::node(std::string_view name) {
  const auto found = std::ranges::find(node_names_, name);
  if (found == node_names_.end()) {
    node_names_.emplace_back(name);
    return static_cast<Node>(node_names_.size() - 1);
  }
  return static_cast<Node>(found - node_names_.begin());
}

InputIndex Circuit::add_input(std::string name, PiecewiseLinear waveform) {
  require(std::ranges::find(input_names_, name) == input_names_.end(), name, "an input of this name exists already");
  input_names_.push_back(std::move(name));
  inputs_.push_back(std::move(waveform));
  return static_cast<InputIndex>(inputs_.size() - 1);
}

BranchIndex Circuit::add_branch(std::string name, Node plus, Node minus, BranchKind kind) {
  const auto same_name = [&](const Branch& branch) { return branch.name == name; };
  require(std::ranges::find_if(branches_, same_name) == branches_.end(), name, "the name is taken already");
  require(plus != minus, name, "both terminals are on node '" + node_names_[static_cast<std::size_t>(plus)] + "'");
  branches_.push_back({std::move(name), plus, minus, kind});
  return static_cast<BranchIndex>(branches_.size() - 1);
}

void Circuit::add_voltage_source(std::string name, Node plus, Node minus, PiecewiseLinear voltage) {
  const InputIndex input = add_input(name, std::move(voltage));
  voltage_sources_.push_back({add_branch(std::move(name), plus, minus, BranchKind::voltage_source), input});
}

void Circuit::add_voltage_source(std::string name, Node plus, Node minus, double voltage) {
  require_finite(voltage, name, "voltage [V]");
  add_voltage_source(std::move(name), plus, minus, PiecewiseLinear(voltage));
}

void Circuit::add_short(std::string name, Node plus, Node minus) {
  add_voltage_source(std::move(name), plus, minus, 0.0);
}

void Circuit::add_current_source(std::string name, Node plus, Node minus, PiecewiseLinear current) {
  const InputIndex input = add_input(name, std::move(current));
  current_sources_.push_back({add_branch(std::move(name), plus, minus, BranchKind::current_source), input});
}

void Circuit::add_current_source(std::string name, Node plus, Node minus, double current) {
  require_finite(current, name, "current [A]");
  add_current_source(std::move(name), plus, minus, PiecewiseLinear(current));
}

void Circuit::add_resistor(std::string name, Node plus, Node minus, double resistance) {
  require_not_negative(resistance, name, "resistance [ohm]");
  if (resistance == 0.0) return add_short(std::move(name), plus, minus);
  resistors_.push_back({add_branch(std::move(name), plus, minus, BranchKind::resistor), resistance});
}

void Circuit::add_inductor(std::string name, Node plus, Node minus, double inductance, double initial_current) {
  require_not_negative(inductance, name, "inductance [H]");
  require_finite(initial_current, name, "initial current [A]");
  if (inductance == 0.0) return add_short(std::move(name), plus, minus);
  inductors_.push_back({add_branch(std::move(name), plus, minus, BranchKind::inductor), inductance, initial_current});
}

void Circuit::add_capacitor(std::string name, Node plus, Node minus, CapacitanceLaw law, double initial_voltage) {
  require_valid(law, name);
  require_finite(initial_voltage, name, "initial voltage [V]");
  capacitors_.push_back({add_branch(std::move(name), plus, minus, BranchKind::capacitor), law, initial_voltage});
}

void Circuit::add_diode(std::string name, Node anode, Node cathode, const device::JunctionDiode<>& law,
                        double initial_current) {
  require_valid(law, name);
  require_finite(initial_current, name, "initial current [A]");
  diodes_.push_back({add_branch(std::move(name), anode, cathode, BranchKind::conduction), law, initial_current});
}

void Circuit::add_knee(std::string name, Node plus, Node minus, const device::KneeConduction<>& law) {
  require_valid(law, name);
  knees_.push_back({add_branch(std::move(name), plus, minus, BranchKind::conduction), law});
}

void Circuit::add_channel(std::string name, Node gate, Node drain, Node source, const device::MosfetChannel<>& law) {
  require_valid(law, name);
  const BranchIndex sense = add_branch(name + ".gate_source", gate, source, BranchKind::sense);
  channels_.push_back({sense, add_branch(std::move(name), drain, source, BranchKind::conduction), law});
}

void Circuit::add_driver(const std::string& name, Node supply, Node output, Node reference, InputIndex command,
                         const device::DriverOutput<>& law, double initial_upper_voltage) {
  require_valid(law, name);
  require_finite(initial_upper_voltage, name, "initial upper voltage [V]");
  const BranchIndex upper = add_branch(names::upper_of(name), supply, output, BranchKind::conduction);
  drivers_.push_back({name, upper, add_branch(names::lower_of(name), output, reference, BranchKind::conduction),
                      command, law, initial_upper_voltage});
}

BranchIndex Circuit::branch_index(std::string_view name) const {
  const auto found = std::ranges::find(branches_, name, &Branch::name);
  if (found == branches_.end()) throw std::invalid_argument("the circuit has no branch '" + std::string(name) + "'");
  return static_cast<BranchIndex>(found - branches_.begin());
}

InputIndex Circuit::input_index(std::string_view name) const {
  const auto found = std::ranges::find(input_names_, name);
  if (found == input_names_.end()) throw std::invalid_argument("the circuit has no input '" + std::string(name) + "'");
  return static_cast<InputIndex>(found - input_names_.begin());
}

}  // namespace gateswing::network
