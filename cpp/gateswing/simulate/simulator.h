// Runs a compiled network through time, from event to event.
#pragma once

#include <Eigen/Core>
#include <memory>
#include <span>
#include <vector>

#include "gateswing/integrate/status.h"
#include "gateswing/network/compiled_network.h"
#include "gateswing/network/ledger.h"
#include "gateswing/simulate/recorder.h"
#include "gateswing/simulate/settings.h"

namespace gateswing::simulate {

/// What one stretch of time brought.
struct Interval {
  integrate::Status status = integrate::Status::success;
  double begin_time = 0.0;  ///< [s]
  double end_time = 0.0;    ///< of the last accepted state; the time asked for unless the status says otherwise [s]
  Eigen::VectorXd begin_state;
  Eigen::VectorXd end_state;
  Eigen::VectorXd integrals;  ///< as NetworkSystem orders them
  integrate::Statistics statistics;
};

/// Adds a following interval to an earlier one.
void append(Interval& earlier, const Interval& later);

/// Solver of one fixed size behind a common interface: one virtual call per interval, none in a step.
class Solver {
 public:
  Solver() = default;
  Solver(const Solver&) = delete;
  Solver& operator=(const Solver&) = delete;
  Solver(Solver&&) = delete;
  Solver& operator=(Solver&&) = delete;
  virtual ~Solver() = default;

  virtual bool make_consistent(const std::vector<network::PiecewiseLinear>& inputs, double time,
                               Eigen::VectorXd& state) = 0;
  virtual Interval advance(const std::vector<network::PiecewiseLinear>& inputs, double begin, double end,
                           const Eigen::VectorXd& state, const Settings& settings, Recorder* recorder,
                           std::vector<double>* step_ends) = 0;
  virtual Interval replay(const std::vector<network::PiecewiseLinear>& inputs, double begin,
                          std::span<const double> step_ends, const Eigen::VectorXd& state,
                          const Settings& settings) = 0;
};

/// A compiled network with inputs, at a time and in a state.
class Simulator {
 public:
  /// Throws std::invalid_argument when the network has more states than the largest solver built (28).
  explicit Simulator(network::CompiledNetwork network);

  /// Replaces the command of a driver from now on; throws as CompiledNetwork::set_command().
  void set_command(network::InputIndex input, network::PiecewiseLinear command);

  /// Puts the network into its initial state at `time` [s]; false when the resistive voltages find no solution.
  bool start(double time);

  /// Likewise into another state, of which the resistive voltages are only a first guess.
  bool start(double time, const Eigen::VectorXd& state);

  /// Runs to `end` [s], restarting the integration on every corner of the inputs. Adds to `recorder` if there is one,
  /// and the end of each accepted step [s] to `step_ends` likewise.
  Interval advance(double end, const Settings& settings, Recorder* recorder, std::vector<double>* step_ends = nullptr);

  /// Repeats the steps of an earlier advance() from the same time, from the present state; see integrate/replay.h.
  /// Throws std::invalid_argument where there is none.
  Interval replay(std::span<const double> step_ends, const Settings& settings);

  /// Goes on from another state, at `time` [s]; resistive voltages must be consistent with it.
  void move_to(double time, const Eigen::VectorXd& state);

  [[nodiscard]] const network::CompiledNetwork& network() const { return network_; }
  [[nodiscard]] network::Ledger ledger(const Interval& interval) const;
  [[nodiscard]] double time() const { return time_; }
  [[nodiscard]] const Eigen::VectorXd& state() const { return state_; }

 private:
  /// Takes over what a piece brought; false when it ended early.
  bool take(const Interval& piece, Interval& total);

  network::CompiledNetwork network_;
  std::unique_ptr<Solver> solver_;
  Eigen::VectorXd state_;
  double time_ = 0.0;
};

}  // namespace gateswing::simulate
