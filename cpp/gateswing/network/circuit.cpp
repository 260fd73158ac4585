#include "gateswing/network/circuit.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace gateswing::network {
namespace {

void require(bool condition, const std::string& element, const std::string& demand) {
  if (!condition) throw std::invalid_argument("element '" + element + "': " + demand);
}

void require_not_negative(double value, const std::string& element, const std::string& quantity) {
  require(std::isfinite(value) && value >= 0.0, element,
          quantity + " must be a finite number, zero or positive, got " + std::to_string(value));
}

}  // namespace

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

void Circuit::add_short(std::string name, Node plus, Node minus) {
  add_voltage_source(std::move(name), plus, minus, PiecewiseLinear(0.0));
}

void Circuit::add_current_source(std::string name, Node plus, Node minus, PiecewiseLinear current) {
  const InputIndex input = add_input(name, std::move(current));
  current_sources_.push_back({add_branch(std::move(name), plus, minus, BranchKind::current_source), input});
}

void Circuit::add_resistor(std::string name, Node plus, Node minus, double resistance) {
  require_not_negative(resistance, name, "resistance [ohm]");
  if (resistance == 0.0) return add_short(std::move(name), plus, minus);
  resistors_.push_back({add_branch(std::move(name), plus, minus, BranchKind::resistor), resistance});
}

void Circuit::add_inductor(std::string name, Node plus, Node minus, double inductance, double initial_current) {
  require_not_negative(inductance, name, "inductance [H]");
  require(std::isfinite(initial_current), name, "the initial current [A] must be a finite number");
  if (inductance == 0.0) return add_short(std::move(name), plus, minus);
  inductors_.push_back({add_branch(std::move(name), plus, minus, BranchKind::inductor), inductance, initial_current});
}

void Circuit::add_capacitor(std::string name, Node plus, Node minus, CapacitanceLaw law, double initial_voltage) {
  require(std::isfinite(initial_voltage), name, "the initial voltage [V] must be a finite number");
  const double smallest = std::visit([&](const auto& c) { return device::capacitance(c, initial_voltage); }, law);
  require(std::isfinite(smallest) && smallest > 0.0, name, "the capacitance [F] must be positive");
  capacitors_.push_back({add_branch(std::move(name), plus, minus, BranchKind::capacitor), law, initial_voltage});
}

void Circuit::add_diode(std::string name, Node anode, Node cathode, const device::JunctionDiode<>& law) {
  diodes_.push_back({add_branch(std::move(name), anode, cathode, BranchKind::conduction), law});
}

void Circuit::add_knee(std::string name, Node plus, Node minus, const device::KneeConduction<>& law) {
  knees_.push_back({add_branch(std::move(name), plus, minus, BranchKind::conduction), law});
}

void Circuit::add_channel(std::string name, Node gate, Node drain, Node source, const device::MosfetChannel<>& law) {
  const BranchIndex sense = add_branch(name + ".gate_source", gate, source, BranchKind::sense);
  channels_.push_back({sense, add_branch(std::move(name), drain, source, BranchKind::conduction), law});
}

void Circuit::add_driver(std::string name, Node supply, Node output, Node reference, InputIndex command,
                         const device::DriverOutput<>& law) {
  const BranchIndex upper = add_branch(name + ".upper", supply, output, BranchKind::conduction);
  drivers_.push_back(
      {upper, add_branch(name + ".lower", output, reference, BranchKind::conduction), command, law});
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
