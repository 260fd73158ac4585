#include "gateswing/simulate/period_map.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>

namespace gateswing::simulate {
namespace {

Eigen::VectorXd ambients(const std::vector<HeatedJunction>& junctions) {
  Eigen::VectorXd result(static_cast<Eigen::Index>(junctions.size()));
  Eigen::Index j = 0;
  for (const HeatedJunction& junction : junctions) result[j++] = junction.ambient;
  return result;
}

}  // namespace

Eigen::VectorXd mean_heat(const std::vector<HeatedJunction>& junctions, const network::Ledger& ledger, double period) {
  Eigen::VectorXd energy = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(junctions.size()));
  for (const network::EnergyEntry& entry : ledger.entries) {
    if (entry.kind != network::EnergyKind::dissipated) continue;
    Eigen::Index j = 0;
    for (const HeatedJunction& junction : junctions) {
      if (std::ranges::find(junction.elements, entry.element) != junction.elements.end()) energy[j] += entry.energy;
      ++j;
    }
  }
  return energy / period;
}

PeriodMap::PeriodMap(const PeriodicCircuit& circuit, const Settings& settings)
    : circuit_(circuit),
      settings_(settings),
      temperatures_(ambients(circuit.junctions)),
      simulator_(std::make_unique<Simulator>(circuit.network(temperatures_))),
      size_(simulator_->network().differential_size) {}

PeriodStart PeriodMap::initial() const {
  return {simulator_->network().initial_state(), ambients(circuit_.junctions)};
}

PeriodEnd PeriodMap::run(const PeriodStart& start) {
  Simulator& simulator = simulator_at(start.temperatures);
  step_ends_.clear();
  if (!simulator.start(0.0, start.state)) return {integrate::Status::singular, {}, {}};
  return conclude(simulator, simulator.advance(circuit_.period, settings_, nullptr, &step_ends_));
}

PeriodEnd PeriodMap::repeat(const PeriodStart& start) {
  Simulator& simulator = simulator_at(start.temperatures);
  if (!simulator.start(0.0, start.state)) return {integrate::Status::singular, {}, {}};
  return conclude(simulator, simulator.replay(step_ends_, settings_));
}

bool PeriodMap::rings() const {
  constexpr double long_enough = 0.1;       // of the period; the same part of the stretch, at its end, is looked at
  constexpr std::ptrdiff_t of_a_ring = 20;  // steps; what has settled takes a few
  std::vector<double> stops = network::corner_times(simulator_->network().inputs, 0.0, circuit_.period);
  stops.push_back(circuit_.period);
  double begin = 0.0;
  for (const double stop : stops) {
    const double length = stop - std::exchange(begin, stop);
    if (length < long_enough * circuit_.period) continue;
    const auto first = std::ranges::lower_bound(step_ends_, stop - long_enough * length);
    if (std::ranges::upper_bound(step_ends_, stop) - first > of_a_ring) return true;
  }
  return false;
}

Simulator& PeriodMap::simulator_at(const Eigen::VectorXd& temperatures) {
  if (temperatures != temperatures_) {
    simulator_ = std::make_unique<Simulator>(circuit_.network(temperatures));
    temperatures_ = temperatures;
  }
  return *simulator_;
}

PeriodEnd PeriodMap::conclude(const Simulator& simulator, const Interval& period) {
  ++periods_;
  statistics_ += period.statistics;
  // The ledger is not asked for where no heat is.
  if (circuit_.junctions.empty()) return {period.status, period.end_state, Eigen::VectorXd(0)};
  return {period.status, period.end_state, mean_heat(circuit_.junctions, simulator.ledger(period), circuit_.period)};
}

}  // namespace gateswing::simulate
