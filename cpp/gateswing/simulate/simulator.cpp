#include "gateswing/simulate/simulator.h"

#include <algorithm>
#include <stdexcept>
#include <string>

#include "gateswing/simulate/fixed_solver.h"
#include "gateswing/simulate/run_carrier.h"

namespace gateswing::simulate {
namespace {

/// The smallest solver that holds the network.
template <int... sizes>
std::unique_ptr<Solver> make_solver(const network::CompiledNetwork& network, SolverSizes<sizes...>) {
  constexpr int largest = std::max({sizes...});
  if (network.size() > largest) {
    throw std::invalid_argument("the circuit has " + std::to_string(network.size()) +
                                " states, and this library is built for " + std::to_string(largest) +
                                ": leave out a lead inductance, a snubber or a diode that matters little");
  }
  std::unique_ptr<Solver> solver;
  const auto try_size = [&]<int N>() {
    const bool has_room = N == largest || network.integral_count() <= network::integral_capacity(N);
    if (network.size() <= N && has_room) solver = make_fixed_solver<N>(network);
    return solver != nullptr;
  };
  (try_size.template operator()<sizes>() || ...);
  return solver;
}

}  // namespace

void append(Interval& earlier, const Interval& later) {
  earlier.status = later.status;
  earlier.end_time = later.end_time;
  earlier.end_state = later.end_state;
  earlier.integrals += later.integrals;
  earlier.statistics += later.statistics;
}

Simulator::Simulator(network::CompiledNetwork network)
    : network_(std::move(network)),
      solver_(make_solver(network_, BuiltSolverSizes{})),
      state_(network_.initial_state()) {}

void Simulator::set_command(network::InputIndex input, network::PiecewiseLinear command) {
  network_.set_command(input, std::move(command));
}

bool Simulator::start(double time) {
  return start(time, network_.initial_state());
}

bool Simulator::start(double time, const Eigen::VectorXd& state) {
  time_ = time;
  state_ = state;
  return solver_->make_consistent(network_.inputs, time, state_);
}

void Simulator::move_to(double time, const Eigen::VectorXd& state) {
  time_ = time;
  state_ = state;
}

bool Simulator::take(const Interval& piece, Interval& total) {
  if (total.integrals.size() == 0) total.integrals = Eigen::VectorXd::Zero(piece.integrals.size());
  append(total, piece);
  state_ = piece.end_state;
  time_ = piece.end_time;
  return piece.status == integrate::Status::success;
}

Interval Simulator::advance(double end, const Settings& settings, Recorder* recorder, std::vector<double>* step_ends) {
  if (settings.lanes != nullptr) return settings.lanes->advance(*this, end, settings, recorder, step_ends);
  Interval total{integrate::Status::success, time_, time_, state_, state_, {}, {}};
  std::vector<double> stops = network::corner_times(network_.inputs, time_, end);
  stops.push_back(end);
  for (const double stop : stops) {
    if (!take(solver_->advance(network_.inputs, time_, stop, state_, settings, recorder, step_ends), total)) break;
  }
  return total;
}

Interval Simulator::replay(std::span<const double> step_ends, const Settings& settings) {
  if (step_ends.empty()) throw std::invalid_argument("there must be steps to repeat");
  if (settings.lanes != nullptr) return settings.lanes->replay(*this, step_ends, settings);
  Interval total{integrate::Status::success, time_, time_, state_, state_, {}, {}};
  std::vector<double> stops = network::corner_times(network_.inputs, time_, step_ends.back());
  stops.push_back(step_ends.back());
  for (const double stop : stops) {
    const auto after = std::ranges::upper_bound(step_ends, stop);
    const auto count = static_cast<std::size_t>(after - step_ends.begin());
    if (!take(solver_->replay(network_.inputs, time_, step_ends.first(count), state_, settings), total)) break;
    step_ends = step_ends.subspan(count);
  }
  return total;
}

network::Ledger Simulator::ledger(const Interval& interval) const {
  return network::balance(network_, interval.begin_state, interval.end_state, interval.integrals);
}

}  // namespace gateswing::simulate
