// A half bridge that is switched at one frequency, duty and dead time, without end.
#pragma once

#include <string>
#include <vector>

#include "gateswing/network/half_bridge_cell.h"
#include "gateswing/simulate/period_map.h"
#include "gateswing/study/half_bridge_run.h"
#include "gateswing/study/heated_parts.h"

namespace gateswing::study {

struct BridgeOperation {
  double frequency = 0.0;  ///< [Hz]
  double duty = 0.0;       ///< of the active switch's logic command, 0 to 1
  double dead_time = 0.0;  ///< from each command "off" to the other one's "on"; negative: overlap [s]
  network::Side active = network::Side::high;  ///< whose duty is stated; time 0 is its logic command "on"
};

struct HalfBridgePoint;
using HeatedBridgePart = HeatedPart<network::HalfBridgeCell, HalfBridgePoint>;

/// Names of the ledger's elements whose heat is that of one side's anti-parallel diode.
std::vector<std::string> diode_elements(network::Side side);

/// The circuit whose steady state is sought, and the run that records a period of it. The active switch is commanded on
/// from 0 to the duty's share of the period, the other one for what is left of it but two dead times; where nothing is
/// left it stays off.
///
/// Starts with the load current of an ideal bridge, the mean of its output voltage over all resistance in its way.
/// Heated junctions, where their cooling is given: of each side, high before low, the MOSFET with the gate resistance
/// on its die, and the anti-parallel diode.
class SwitchedBridge {
 public:
  /// Throws std::invalid_argument for a frequency, duty or dead time, a cell or a cooling that makes no sense.
  SwitchedBridge(const network::HalfBridgeCell& cell, const BridgeOperation& operation);

  /// Refers to this object.
  [[nodiscard]] simulate::PeriodicCircuit circuit() const;

  /// At the temperatures of `start`, not yet started.
  [[nodiscard]] HalfBridgeRun run(const simulate::PeriodStart& start) const;

  [[nodiscard]] const network::HalfBridgeCell& cell() const { return cell_; }

  /// With the heated parts as they are at junction temperatures [K], in the order of circuit().junctions.
  [[nodiscard]] network::HalfBridgeCell cell_at(const Eigen::VectorXd& temperatures) const;

  [[nodiscard]] const std::vector<HeatedBridgePart>& heated() const { return heated_; }
  [[nodiscard]] const BridgeOperation& operation() const { return operation_; }
  [[nodiscard]] double period() const { return 1.0 / operation_.frequency; }  ///< [s]

  /// At the driver's output of that side.
  [[nodiscard]] const network::PeriodicCommand& command(network::Side side) const {
    return side == network::Side::high ? high_ : low_;
  }
  [[nodiscard]] bool switches(network::Side side) const {
    return command(side).on_duration > 0.0 && command(side).on_duration < period();
  }

 private:
  network::HalfBridgeCell cell_;
  std::vector<HeatedBridgePart> heated_;
  BridgeOperation operation_;
  network::PeriodicCommand high_;
  network::PeriodicCommand low_;
  double load_current_;
};

}  // namespace gateswing::study
