// A low-side cell that is switched at one frequency and duty, without end.
#pragma once

#include <string>
#include <vector>

#include "gateswing/network/low_side_cell.h"
#include "gateswing/simulate/period_map.h"
#include "gateswing/study/heated_parts.h"
#include "gateswing/study/low_side_run.h"

namespace gateswing::study {

struct OperatingPoint;
using HeatedCellPart = HeatedPart<network::LowSideCell, OperatingPoint>;

/// The circuit whose steady state is sought, and the run that records a period of it. Time 0 is a logic command "on".
///
/// Starts at the valley current of an ideal switch and diode on a load of R, L and a constant voltage E against the
/// current, (V/R)(e^(DT/tau) - 1)/(e^(T/tau) - 1) - E/R with tau = L/R, or zero where that is negative and the current
/// stops in every period. Heated junctions, where the cell has their cooling: the MOSFET, with the gate resistance on
/// its die; the freewheel diode.
class SwitchedCell {
 public:
  /// Throws std::invalid_argument for a frequency, duty, cell or cooling that makes no sense, and for a load without
  /// resistance, which has no steady state.
  SwitchedCell(const network::LowSideCell& cell, double frequency, double duty);

  /// Refers to this object.
  [[nodiscard]] simulate::PeriodicCircuit circuit() const;

  /// At the temperatures of `start`, not yet started.
  [[nodiscard]] LowSideRun run(const simulate::PeriodStart& start) const;

  [[nodiscard]] const network::LowSideCell& cell() const { return cell_; }
  [[nodiscard]] const std::vector<HeatedCellPart>& heated() const { return heated_; }
  [[nodiscard]] double period() const { return period_; }  ///< [s]
  [[nodiscard]] const network::PeriodicCommand& command() const { return command_; }
  [[nodiscard]] bool switches() const { return command_.on_duration > 0.0 && command_.on_duration < period_; }

 private:
  network::LowSideCell cell_;
  std::vector<HeatedCellPart> heated_;
  double period_;
  double valley_;
  network::PeriodicCommand command_;
};

}  // namespace gateswing::study
