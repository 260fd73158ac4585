// Body of the fixed-size solver; included by the generated instantiations only.
#pragma once

#include "gateswing/integrate/consistent.h"
#include "gateswing/integrate/integrate.h"
#include "gateswing/integrate/replay.h"
#include "gateswing/network/network_system.h"
#include "gateswing/simulate/fixed_solver.h"

namespace gateswing::simulate {

template <int N>
class FixedSolver final : public Solver {
 public:
  explicit FixedSolver(const network::CompiledNetwork& network)
      : states_(network.size()), integrals_(network.integral_count()), system_(network) {}

  bool make_consistent(const std::vector<network::PiecewiseLinear>& inputs, double time,
                       Eigen::VectorXd& state) override {
    system_.enter_segment(inputs, time);
    Vector x = padded(state);
    const bool found = integrate::make_consistent(system_, time, x, Vector::Ones());
    state = x.head(states_);
    return found;
  }

  Interval advance(const std::vector<network::PiecewiseLinear>& inputs, double begin, double end,
                   const Eigen::VectorXd& state, const Settings& settings, Recorder* recorder,
                   std::vector<double>* step_ends) override {
    system_.enter_segment(inputs, begin);
    if (recorder != nullptr) recorder->enter_segment(inputs, begin);
    Vector x = padded(state);
    Integrals integrals = Integrals::Zero();
    const auto observe = [&](const integrate::DenseStep<Vector>& step, const Integrals& increment) {
      integrals += increment;
      if (recorder != nullptr) recorder->record(step);
      if (step_ends != nullptr) step_ends->push_back(step.end_time);
      return !settings.is_cancelled();
    };
    integrate::StepMemory memory;
    const integrate::Outcome outcome =
        integrate::with_method_for(settings.relative_tolerance, [&]<class Tableau>(Tableau) {
          return integrate::integrate<Tableau>(system_, x, begin, end, Vector(Vector::Ones()),
                                               integrator_settings(settings), memory, observe);
        });
    return {outcome.status,    begin, outcome.time, state, x.head(states_), integrals.head(integrals_),
            outcome.statistics};
  }

  Interval replay(const std::vector<network::PiecewiseLinear>& inputs, double begin, std::span<const double> step_ends,
                  const Eigen::VectorXd& state, const Settings& settings) override {
    system_.enter_segment(inputs, begin);
    Vector x = padded(state);
    Integrals integrals = Integrals::Zero();
    const auto go_on = [&] { return !settings.is_cancelled(); };
    const integrate::Outcome outcome =
        integrate::with_method_for(settings.relative_tolerance, [&]<class Tableau>(Tableau) {
          return integrate::replay<Tableau>(system_, x, begin, step_ends, integrals, go_on);
        });
    return {outcome.status,    begin, outcome.time, state, x.head(states_), integrals.head(integrals_),
            outcome.statistics};
  }

 private:
  using System = network::NetworkSystem<N>;
  using Vector = typename System::Vector;
  using Integrals = typename System::Integrals;

  Vector padded(const Eigen::VectorXd& state) const {
    Vector x = Vector::Zero();
    x.head(states_) = state;
    return x;
  }

  int states_, integrals_;
  System system_;
};

}  // namespace gateswing::simulate
