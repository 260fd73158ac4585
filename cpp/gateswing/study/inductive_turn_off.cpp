#include "gateswing/study/inductive_turn_off.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <string_view>

#include "gateswing/measure/crossing.h"
#include "gateswing/measure/extrema.h"
#include "gateswing/measure/integral.h"
#include "gateswing/network/cell_checks.h"
#include "gateswing/network/refusals.h"
#include "gateswing/study/channels.h"
#include "gateswing/study/loss_causes.h"
#include "gateswing/study/low_side_run.h"
#include "gateswing/study/switching_time.h"

namespace gateswing::study {
namespace {

using Channel = CellChannels;
using network::LowSideCell;
namespace names = network::names;

constexpr double smallest_overvoltage = 0.5;  // of a path that has a diode only [V]
constexpr int longest_over_estimate = 10;
constexpr long most_steps = 200'000;  // per piece; a quiet release takes some thousands

const char* too_many_steps =
    "the release did not finish within its steps: an active clamp that oscillates needs more resistance in its zener "
    "or its gate path";

const char* not_released =
    "the load current has not died within ten times the estimated time, so there is no release time: something feeds "
    "it, a driver that stays on or a bus above the breakdown voltage";

void require_request(const LowSideCell& cell, const InductiveTurnOffRequest& request) {
  network::require_valid(cell);
  network::require_positive(request.current, {}, "the current at the turn-off [A]");
  const bool is_share = request.remaining_share > 0.0 && request.remaining_share < 1.0;
  if (!is_share) network::refuse(request.remaining_share, {}, "the remaining share of the current", "between 0 and 1");
  if (cell.load.constant_current || cell.load.inductance == 0.0)
    throw std::invalid_argument("a release needs a load with an inductance [H] above zero, whose current can die");
}

/// As much as there can be across the load's inductance [V].
double largest_load_voltage(const LowSideCell& cell, double current) {
  return cell.supply.voltage + (cell.load.resistance * current + network::opposing_voltage(cell.load, current));
}

/// Least voltage above the supply that any of the paths holds [V].
double overvoltage_estimate(const LowSideCell& cell) {
  if (cell.freewheel) return smallest_overvoltage;
  double level = cell.mosfet.breakdown.knee_voltage;
  if (cell.drain_source_clamp) level = std::min(level, cell.drain_source_clamp->law.knee_voltage);
  if (cell.drain_gate_clamp) level = std::min(level, cell.drain_gate_clamp->law.knee_voltage);
  return std::max(smallest_overvoltage, level - cell.supply.voltage);
}

/// Runs in stretches as long as the estimate, until the load current is down to `level` [A].
void run_until_released(TransientRun& transient, double estimate, double level) {
  for (int stretch = 1; stretch <= longest_over_estimate; ++stretch) {
    if (!transient.advance(static_cast<double>(stretch) * estimate)) return;
    const waveform::Waveform& waveform = transient.run().waveform();
    if (waveform.value(Channel::load_current, waveform.end()) <= level) return;
  }
}

/// Heat of all elements for whose names `counts` is true [J].
template <class Counts>
double heat(const network::Ledger& ledger, const Counts& counts) {
  double sum = 0.0;
  for (const network::EnergyEntry& entry : ledger.entries) {
    if (entry.kind == network::EnergyKind::dissipated && counts(entry.element)) sum += entry.energy;
  }
  return sum;
}

void read_energies(InductiveTurnOff& result) {
  const network::Ledger& ledger = result.ledger;
  const std::string freewheel_diode = names::diode_of(names::freewheel);
  result.breakdown_energy = heat(ledger, [](std::string_view element) { return element == names::breakdown; });
  result.channel_energy = heat(ledger, [](std::string_view element) { return element == names::channel; });
  result.load_energy = heat(ledger, network::belongs_to_load);
  result.clamp_energy = heat(ledger, [&](std::string_view element) {
    const LossCause cause = cause_of(element);
    return cause == LossCause::clamp || cause == LossCause::freewheel_conduction || element == freewheel_diode;
  });
}

/// Of the edge alone, as a double pulse shows it: over the whole release v_DS falls with the load current, and the
/// level where it ends is not the one that the ring goes about.
void read_ring(const LowSideCell& cell, InductiveTurnOff& result) {
  TurnOffFigures& figures = result.turn_off;
  if (std::isnan(figures.instants.drain_end)) return;
  const double look = look_at_edge(switching_time_estimate(cell));
  const double end = std::min(result.waveform.end(), figures.instants.drain_end + look);
  const TurnOffFigures edge = turn_off_figures(result.waveform, {0.0, end});
  figures.ring_frequency = edge.ring_frequency;
  figures.ring_decay_time = edge.ring_decay_time;
  figures.ring_quality = edge.ring_quality;
}

void read_release(const LowSideCell& cell, const InductiveTurnOffRequest& request, InductiveTurnOff& result) {
  const waveform::Waveform& waveform = result.waveform;
  const measure::Window window{0.0, waveform.end()};
  result.turn_off = turn_off_figures(waveform, window);
  read_ring(cell, result);
  result.peak_drain_voltage = measure::maximum(waveform, Channel::drain_voltage, window).value;
  const auto released = measure::first_crossing(
      waveform, Channel::load_current, request.remaining_share * request.current, measure::Direction::falling, window);
  if (!released) {
    result.message = not_released;
    return;
  }
  result.release_time = *released;
  const double begin = std::isnan(result.turn_off.instants.drain_end) ? 0.0 : result.turn_off.instants.drain_end;
  if (!(begin < *released)) return;
  const measure::Window falling{begin, *released};
  result.maximum_gate_voltage = measure::maximum(waveform, Channel::gate_voltage, falling).value;
  result.plateau_voltage =
      measure::integral_of_product(waveform, Channel::drain_voltage, Channel::load_current, falling) /
      measure::integral(waveform, Channel::load_current, falling);
  const double over =
      result.plateau_voltage - cell.supply.voltage + network::opposing_voltage(cell.load, request.current);
  if (!(over > 0.0)) return;
  const Release release{cell.load.resistance + cell.supply.resistance, cell.load.inductance, over};
  result.release_time_by_hand = release.time(request.current, request.remaining_share);
  result.energy_by_hand = result.plateau_voltage * release.charge(request.current, request.remaining_share);
}

}  // namespace

double Release::time(double current, double share) const {
  const double ratio = resistance * current / voltage;
  if (ratio == 0.0) return inductance * current * (1.0 - share) / voltage;
  return inductance / resistance * (std::log1p(ratio) - std::log1p(share * ratio));
}

double Release::charge(double current, double share) const {
  constexpr double too_small_for_the_difference = 1e-5;
  if (resistance * current / voltage < too_small_for_the_difference)
    return 0.5 * inductance * current * current * (1.0 - share * share) / voltage;
  // From L di/dt = -(R i + V), integrated.
  return (inductance * current * (1.0 - share) - voltage * time(current, share)) / resistance;
}

InductiveTurnOff inductive_turn_off(const LowSideCell& cell, const InductiveTurnOffRequest& request,
                                    const simulate::Settings& settings) {
  require_request(cell, request);
  const auto [current, share] = request;
  simulate::Settings limited = settings;
  limited.maximum_steps = std::min(settings.maximum_steps, most_steps);
  LowSideRun run(cell, current, network::SwitchState::on);
  run.set_command(network::gate_command(std::vector<network::Pulse>{{-1.0, 0.0}}, cell.driver.timing));
  TransientRun transient(run, -look_before(cell.load, current, largest_load_voltage(cell, current)), limited);
  transient.lead_in(0.0);
  const double against = overvoltage_estimate(cell) + network::opposing_voltage(cell.load, current);
  const Release estimate{cell.load.resistance, cell.load.inductance, against};
  const double length =
      estimate.time(current, share) + shortest_look + switching_times_seen * switching_time_estimate(cell);
  run_until_released(transient, length, share * current);
  InductiveTurnOff result{transient.result()};
  if (result.status == integrate::Status::step_limit) result.message = too_many_steps;
  if (!result.succeeded()) return result;
  read_energies(result);
  read_release(cell, request, result);
  return result;
}

}  // namespace gateswing::study
