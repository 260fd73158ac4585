// The parts of a cell that their losses heat: each stated once for the search, for the cell and for the answer.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "gateswing/network/names.h"
#include "gateswing/simulate/periodic_state.h"

namespace gateswing::study {

/// A part whose junction temperature is found with the steady state; the place in a list of them is that among the
/// unknown temperatures.
template <class Cell, class Answer>
struct HeatedPart {
  std::string figure;  ///< name of its temperature among the figures of the answer
  simulate::HeatedJunction junction;
  std::function<void(Cell&, double)> warm;        ///< gives a cell the part as it is at a junction temperature [K]
  std::function<double&(Answer&)> temperature{};  ///< where the answer has it [K]
};

/// Names of a ledger's elements whose heat is that of the power path through a MOSFET; they begin with `prefix`.
inline std::vector<std::string> mosfet_elements(const std::string& prefix) {
  using namespace network::names;
  return {prefix + channel, prefix + drift_region, prefix + body_diode, prefix + breakdown};
}

template <class Cell, class Answer>
std::vector<simulate::HeatedJunction> junctions_of(const std::vector<HeatedPart<Cell, Answer>>& parts) {
  std::vector<simulate::HeatedJunction> junctions;
  for (const auto& part : parts) junctions.push_back(part.junction);
  return junctions;
}

/// The cell with its heated parts at their junction temperatures [K].
template <class Cell, class Answer>
Cell at_temperatures(Cell cell, const std::vector<HeatedPart<Cell, Answer>>& parts,
                     const Eigen::VectorXd& temperatures) {
  for (Eigen::Index k = 0; k < temperatures.size(); ++k) parts[static_cast<std::size_t>(k)].warm(cell, temperatures[k]);
  return cell;
}

/// Takes over the temperatures of a steady state, or which one runs away; others would be those of a state on its way.
template <class Cell, class Answer>
void read_temperatures(const std::vector<HeatedPart<Cell, Answer>>& parts, const simulate::PeriodicState& steady,
                       Answer& answer) {
  const Eigen::VectorXd& temperatures = steady.start.temperatures;
  if (answer.outcome == simulate::PeriodicOutcome::thermal_runaway) answer.runaway = parts[steady.runaway].figure;
  if (!answer.periodic()) return;
  for (Eigen::Index k = 0; k < temperatures.size(); ++k)
    parts[static_cast<std::size_t>(k)].temperature(answer) = temperatures[k];
}

}  // namespace gateswing::study
