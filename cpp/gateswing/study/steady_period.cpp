#include "gateswing/study/steady_period.h"

#include <algorithm>
#include <utility>

#include "gateswing/network/refusals.h"

namespace gateswing::study {

void require_switching(double frequency, double duty) {
  network::require_positive(frequency, {}, "the frequency [Hz]");
  const bool within = duty >= 0.0 && duty <= 1.0;
  if (!within) network::refuse(duty, {}, "the duty", "a share from 0 to 1");
}

SteadyPeriod found_period(const simulate::PeriodicState& steady, double frequency, const waveform::Waveform& empty) {
  SteadyPeriod result{.status = steady.status,
                      .message = steady.message,
                      .outcome = steady.outcome,
                      .runaway = {},
                      .frequency = frequency,
                      .periods = steady.periods,
                      .corrections = steady.corrections,
                      .largest_multiplier = steady.largest_multiplier,
                      .ledger = {},
                      .causes = {},
                      .statistics = steady.statistics,
                      .waveform = empty};
  if (steady.start.temperatures.size() > 0) result.thermal_gain = steady.thermal_gain;
  return result;
}

std::optional<network::Ledger> record_period(simulate::Simulator& simulator, simulate::Recorder& recorder,
                                             const simulate::PeriodicCircuit& circuit,
                                             const simulate::PeriodicState& steady, double end,
                                             const simulate::Settings& settings, SteadyPeriod& result) {
  if (!simulator.start(0.0, steady.start.state)) {
    result.status = integrate::Status::singular;
    return std::nullopt;
  }
  const simulate::Interval period = simulator.advance(circuit.period, settings, &recorder);
  result.statistics += period.statistics;
  result.status = period.status;
  if (period.status != integrate::Status::success) return std::nullopt;
  waveform::Waveform recorded = recorder.waveform();
  network::Ledger ledger = simulator.ledger(period);
  if (end > simulator.time()) {
    const simulate::Interval rest = simulator.advance(end, settings, &recorder);
    result.statistics += rest.statistics;
    result.status = rest.status;
  }
  if (result.status != integrate::Status::success) return std::nullopt;
  result.waveform = std::move(recorded);
  if (steady.correction) {
    const simulate::PeriodEnd reached{period.status, period.end_state,
                                      simulate::mean_heat(circuit.junctions, ledger, circuit.period)};
    result.periodicity_residual =
        steady.correction->change_after({period.begin_state, steady.start.temperatures}, reached).size;
  }
  return ledger;
}

void add_driver_at_rest(const network::PushPullDriver& driver, double on_time, double period,
                        const std::string& element, network::Ledger& ledger) {
  const double energy = on_time * driver.on_state_power + (period - on_time) * driver.off_state_power;
  if (energy == 0.0) return;
  ledger.entries.push_back({element, network::EnergyKind::delivered, energy});
  ledger.entries.push_back({element, network::EnergyKind::dissipated, energy});
}

void read_ledger(const network::Ledger& ledger, SteadyPeriod& result) {
  result.energy_residual = ledger.energy_residual;
  result.charge_residual = ledger.charge_residual;
  for (const network::EnergyEntry& entry : ledger.entries)
    result.ledger.push_back({entry.element, entry.kind, entry.energy, entry.energy * result.frequency});
}

double power_of(const SteadyPeriod& result, const std::vector<std::string>& elements) {
  double sum = 0.0;
  for (const ElementEnergy& entry : result.ledger) {
    if (std::ranges::find(elements, entry.element) != elements.end()) sum += entry.power;
  }
  return sum;
}

void judge_record(double tolerance, SteadyPeriod& result) {
  constexpr double slack = 10.0;
  if (result.status != integrate::Status::success) {
    result.message = integrate::sentence(result.status);
  } else if (result.periodic()) {
    result.message.clear();
    if (!(result.periodicity_residual > slack * tolerance)) return;
    result.message =
        "the recorded period repeats itself less well than asked for: the slowest state holds on to the errors of the "
        "integration; a smaller relative tolerance helps";
    result.outcome = simulate::PeriodicOutcome::not_periodic;
  }
}

}  // namespace gateswing::study
