#include "gateswing/network/probe.h"

#include <algorithm>
#include <stdexcept>

#include "gateswing/network/linear_form.h"
#include "gateswing/network/small_cholesky.h"

namespace gateswing::network {
namespace {

using Eigen::Index;

std::size_t find_name(const std::vector<std::string>& names, std::string_view name, const char* what) {
  const auto found = std::ranges::find(names, name);
  if (found != names.end()) return static_cast<std::size_t>(found - names.begin());
  std::string known;
  for (const std::string& candidate : names) known += (known.empty() ? "" : ", ") + candidate;
  throw std::invalid_argument("the circuit has no " + std::string(what) + " '" + std::string(name) + "'; it has " +
                              known);
}

std::vector<LinearForm> linear_parts(const std::vector<Probe>& probes) {
  std::vector<LinearForm> forms;
  for (const Probe& probe : probes) forms.push_back(probe.form.linear);
  return forms;
}

std::vector<LinearForm> right_hand_rows(const CompiledNetwork& network) {
  std::vector<LinearForm> rows;
  for (Index row = 0; row < network.state_matrix.rows(); ++row) {
    rows.push_back({network.state_matrix.row(row), network.input_matrix.row(row)});
  }
  return rows;
}

}  // namespace

Probe voltage_probe(const CompiledNetwork& network, std::string name, std::string_view plus, std::string_view minus) {
  const LinearForm& high = network.node_potentials[find_name(network.node_names, plus, "node")];
  const LinearForm& low = network.node_potentials[find_name(network.node_names, minus, "node")];
  return {std::move(name), "V", {difference(high, low), {}, {}}};
}

Probe current_probe(const CompiledNetwork& network, std::string name, std::string_view branch) {
  return {std::move(name), "A", network.branch_currents[find_name(network.branch_names, branch, "branch")]};
}

ProbeReader::ProbeReader(const CompiledNetwork& network, std::vector<Probe> probes)
    : probes_(std::move(probes)),
      capacitors_(network.capacitors),
      constant_mass_(network.constant_mass),
      capacitor_voltages_(
          static_cast<int>(std::ranges::count(network.states, StateKind::capacitor_voltage, &State::kind))),
      linear_(linear_parts(probes_)),
      right_hand_(right_hand_rows(network)),
      conduction_(network),
      variable_(network),
      segments_(network.inputs.size(), Segment{0.0, 0.0, 0.0}),
      needs_rates_(std::ranges::any_of(probes_, [](const Probe& probe) { return !probe.form.capacitors.empty(); })),
      right_hand_side_(Eigen::VectorXd::Zero(network.size())),
      rates_(right_hand_side_),
      mass_(constant_mass_) {}

void ProbeReader::enter_segment(std::span<const PiecewiseLinear> inputs, double time) {
  segment_start_ = time;
  for (std::size_t u = 0; u < inputs.size(); ++u) segments_[u] = inputs[u].segment_from(time);
  linear_.enter_segment(segments_, time);
  right_hand_.enter_segment(segments_, time);
  conduction_.enter_segment(segments_, time);
}

void ProbeReader::read(double t, const Eigen::Ref<const Eigen::VectorXd>& x, std::span<double> values) {
  const double elapsed = t - segment_start_;
  for (int row = 0; row < right_hand_.count(); ++row) {
    right_hand_side_[row] = needs_rates_ ? right_hand_.value(row, x, elapsed) : 0.0;
  }
  conduction_.evaluate(x, elapsed, right_hand_side_);
  if (needs_rates_) find_capacitor_rates(x);
  for (std::size_t p = 0; p < probes_.size(); ++p) {
    const CurrentForm& form = probes_[p].form;
    double sum = linear_.value(static_cast<int>(p), x, elapsed);
    for (const auto& [port, weight] : form.conducting_ports) sum += weight * conduction_.current(port);
    for (const auto& [index, weight] : form.capacitors) {
      const StoredCapacitor& capacitor = capacitors_[static_cast<std::size_t>(index)];
      const double voltage = conduction_.ports().voltage(capacitor.port, x, elapsed);
      double rate = 0.0;
      for (const PortTerm& term : conduction_.ports().terms(capacitor.port)) rate += term.sign * rates_[term.index];
      sum +=
          weight * rate * std::visit([&](const auto& law) { return device::capacitance(law, voltage); }, capacitor.law);
    }
    values[p] = sum;
  }
}

/// x' of the capacitor voltages, from their rows of M(x) x' = f.
void ProbeReader::find_capacitor_rates(const Eigen::Ref<const Eigen::VectorXd>& x) {
  mass_ = constant_mass_;
  variable_.add_mass(conduction_.ports(), x, mass_);
  factorize_leading_block(mass_, capacitor_voltages_);
  rates_ = right_hand_side_;
  solve_leading_block(mass_, rates_, capacitor_voltages_);
}

}  // namespace gateswing::network
