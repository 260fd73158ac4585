// What the steady states of all cells have in common: the outcome of the search, the recorded period and its ledger.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "gateswing/network/cell_parts.h"
#include "gateswing/simulate/periodic_state.h"
#include "gateswing/simulate/recorder.h"
#include "gateswing/study/edge_figures.h"
#include "gateswing/study/loss_causes.h"

namespace gateswing::study {

/// Throws std::invalid_argument for a frequency [Hz] or a duty that makes no sense.
void require_switching(double frequency, double duty);

/// What one element did over the period.
struct ElementEnergy {
  std::string element;
  network::EnergyKind kind;
  double energy;  ///< [J]
  double power;   ///< its mean [W]
};

struct SteadyPeriod {
  integrate::Status status = integrate::Status::success;
  std::string message;
  simulate::PeriodicOutcome outcome = simulate::PeriodicOutcome::not_periodic;
  std::string runaway;     ///< name of the temperature, among the figures, of the junction that runs away; else empty
  double frequency = 0.0;  ///< [Hz]
  int periods = 0;         ///< simulated before the recorded one, those for derivatives included
  double periodicity_residual = no_figure;  ///< see record_period()
  std::vector<double> corrections;          ///< size of each Newton correction, see PeriodicState
  double largest_multiplier = no_figure;    ///< of what is left of a deviation after a period, in modulus
  double thermal_gain = no_figure;          ///< largest loop gain R_th dP/dT; at 1 the temperature runs away
  std::vector<ElementEnergy> ledger;
  std::vector<CauseEnergy> causes;  ///< the losses sorted
  double energy_residual = no_figure;
  double charge_residual = no_figure;
  integrate::Statistics statistics;  ///< all periods
  waveform::Waveform waveform;       ///< one period; without a step where it could not be recorded

  [[nodiscard]] bool periodic() const { return outcome == simulate::PeriodicOutcome::periodic; }
};

/// What the search found at a frequency [Hz], before a period is recorded. `empty` has the channels of the record.
SteadyPeriod found_period(const simulate::PeriodicState& steady, double frequency, const waveform::Waveform& empty);

/// Records a period from the state found, by a simulator at its temperatures, and goes on to `end` [s], where the last
/// switching cycle that begins in it ends: what the recorder holds then. Returns the ledger of the period, or none
/// where a run fails, as the status tells.
///
/// The residual is the Newton correction that the recorded period still asks for: an estimate of the largest distance
/// of any state from the periodic one, divided by 1 V, 1 A or 1 K plus the state's own size.
std::optional<network::Ledger> record_period(simulate::Simulator& simulator, simulate::Recorder& recorder,
                                             const simulate::PeriodicCircuit& circuit,
                                             const simulate::PeriodicState& steady, double end,
                                             const simulate::Settings& settings, SteadyPeriod& result);

/// Adds what a driver draws at rest [J], on for `on_time` of the period [s].
void add_driver_at_rest(const network::PushPullDriver& driver, double on_time, double period,
                        const std::string& element, network::Ledger& ledger);

/// Takes over residuals and energies, with their mean powers.
void read_ledger(const network::Ledger& ledger, SteadyPeriod& result);

/// Mean power of all entries of some elements [W].
double power_of(const SteadyPeriod& result, const std::vector<std::string>& elements);

/// Says what a failed record was, and refuses one that repeats itself less well than `tolerance` asks: it chooses its
/// steps anew, and what that changes a slow state amplifies by 1/(1 - multiplier).
void judge_record(double tolerance, SteadyPeriod& result);

}  // namespace gateswing::study
