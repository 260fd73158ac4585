// One period of a switched circuit, as a map from the state at its begin to the state and the heat at its end.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "gateswing/simulate/simulator.h"

namespace gateswing::simulate {

/// A junction whose temperature is unknown: T = ambient + resistance P, with P the mean power of its elements.
struct HeatedJunction {
  std::string name;                   ///< in messages
  std::vector<std::string> elements;  ///< of the energy ledger, whose heat is the junction's
  double ambient = 0.0;               ///< [K]
  double resistance = 0.0;            ///< junction to ambient [K/W]
};

/// Any circuit whose inputs repeat with a period.
struct PeriodicCircuit {
  double period = 0.0;  ///< [s]
  /// The circuit at the junctions' temperatures [K], in the order of `junctions`; the same states each time. Its inputs
  /// over 0 to `period` are those of every period.
  std::function<network::CompiledNetwork(const Eigen::VectorXd& temperatures)> network;
  std::vector<HeatedJunction> junctions;
};

/// Mean power into each junction over a period [W], from what its elements turned into heat.
Eigen::VectorXd mean_heat(const std::vector<HeatedJunction>& junctions, const network::Ledger& ledger, double period);

/// State of a circuit at the begin of a period, with its junction temperatures [K].
struct PeriodStart {
  Eigen::VectorXd state;
  Eigen::VectorXd temperatures;
};

/// What a period brought.
struct PeriodEnd {
  integrate::Status status = integrate::Status::success;
  Eigen::VectorXd state;
  Eigen::VectorXd heat;  ///< mean power into each junction [W]
};

class PeriodMap {
 public:
  PeriodMap(const PeriodicCircuit& circuit, const Settings& settings);

  /// The state that the circuit is built with, its junctions at the ambient temperature; resistive voltages included.
  [[nodiscard]] PeriodStart initial() const;

  /// Runs a period with steps chosen anew.
  PeriodEnd run(const PeriodStart& start);

  /// Runs it with the steps of the last run(), from another start.
  PeriodEnd repeat(const PeriodStart& start);

  /// Whether a ring was still there at the end of a tenth or more of the last run(), before the inputs moved again.
  [[nodiscard]] bool rings() const;

  [[nodiscard]] bool is_cancelled() const { return settings_.is_cancelled(); }

  [[nodiscard]] int size() const { return size_; }        ///< of the differential states
  [[nodiscard]] int periods() const { return periods_; }  ///< simulated so far, either way
  [[nodiscard]] const integrate::Statistics& statistics() const { return statistics_; }
  [[nodiscard]] const std::vector<HeatedJunction>& junctions() const { return circuit_.junctions; }

 private:
  /// At other temperatures the laws differ, and with them the network.
  Simulator& simulator_at(const Eigen::VectorXd& temperatures);
  PeriodEnd conclude(const Simulator& simulator, const Interval& period);

  PeriodicCircuit circuit_;
  Settings settings_;
  Eigen::VectorXd temperatures_;
  std::unique_ptr<Simulator> simulator_;
  std::vector<double> step_ends_;
  int size_;
  int periods_ = 0;
  integrate::Statistics statistics_;
};

}  // namespace gateswing::simulate
