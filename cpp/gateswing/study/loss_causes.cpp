#include "gateswing/study/loss_causes.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <map>

#include "gateswing/measure/crossing.h"
#include "gateswing/measure/duration.h"
#include "gateswing/measure/integral.h"
#include "gateswing/network/load.h"
#include "gateswing/study/channels.h"

namespace gateswing::study {
namespace {

using Channel = CellChannels;
namespace names = network::names;
using measure::Window;
using waveform::Waveform;

using CauseOfElement = std::map<std::string, LossCause, std::less<>>;

/// Elements whose heat has one cause.
const CauseOfElement& causes_of_elements() {
  using names::diode_of;
  using names::resistance_of;
  using names::resistor_of;
  static const CauseOfElement causes{{names::drift_region, LossCause::conduction},
                                     {resistance_of(names::freewheel), LossCause::freewheel_conduction},
                                     {resistance_of(names::anti_parallel), LossCause::freewheel_conduction},
                                     {names::breakdown, LossCause::avalanche},
                                     {names::driver, LossCause::gate},
                                     {names::gate_resistor, LossCause::gate},
                                     {names::turn_off_gate_branch, LossCause::gate},
                                     {resistance_of(names::gate_lead), LossCause::gate},
                                     {names::gate_pull_down, LossCause::gate},
                                     {diode_of(names::bootstrap), LossCause::gate},
                                     {resistance_of(names::bootstrap), LossCause::gate},
                                     {names::driver_at_rest, LossCause::driver_at_rest},
                                     {resistor_of(names::snubber), LossCause::snubber},
                                     {names::drain_source_clamp, LossCause::clamp},
                                     {names::drain_gate_clamp, LossCause::clamp},
                                     {diode_of(names::rcd_clamp), LossCause::clamp},
                                     {resistance_of(names::rcd_clamp), LossCause::clamp},
                                     {resistor_of(names::rcd_clamp), LossCause::clamp},
                                     {resistance_of(names::loop), LossCause::wiring},
                                     {resistance_of(names::supply), LossCause::wiring},
                                     {resistance_of(names::bulk), LossCause::wiring},
                                     {resistance_of(names::load), LossCause::output_filter},
                                     {names::load_core_resistance, LossCause::output_filter},
                                     {names::output_capacitor_resistance, LossCause::output_filter}};
  return causes;
}

double product(const Waveform& waveform, std::size_t voltage, std::size_t current, Window window) {
  return measure::integral_of_product(waveform, voltage, current, window);
}

double channel_heat(const Waveform& waveform, Window window) {
  return product(waveform, Channel::drain_voltage, Channel::channel_current, window);
}

/// Where the turn-on ends: the drain's transition, or, of a drain that was below 90 % of the bus before because the
/// load current had stopped, its last fall below 10 %; the command where it was below that too.
double turn_on_end(const PeriodRecord& record) {
  const EdgeInstants& edge = record.turn_on;
  if (!std::isnan(edge.drain_end) || std::isnan(edge.begin) || std::isnan(record.turn_off.drain_begin))
    return edge.drain_end;
  const double level = 0.1 * record.waveform.value(Channel::bus_voltage, edge.begin);
  const auto fall = measure::last_crossing(record.waveform, Channel::drain_voltage, level, measure::Direction::falling,
                                           {edge.begin, record.turn_off.drain_begin});
  const bool is_low = record.waveform.value(Channel::drain_voltage, edge.begin) < level;
  return fall.value_or(is_low ? edge.begin : no_figure);
}

/// Whether both edges show where they begin and end.
bool switches(double on_end, double off_begin) {
  return !std::isnan(on_end) && !std::isnan(off_begin) && on_end <= off_begin;
}

void add_turn_on(const Waveform& waveform, Window on, std::vector<CauseEnergy>& rows) {
  const auto of_voltage = [&](std::size_t current) { return product(waveform, Channel::drain_voltage, current, on); };
  const double total = of_voltage(Channel::channel_current);
  const double discharge = total + of_voltage(Channel::body_current) - of_voltage(Channel::drain_current);
  const double backward = -backward_product(waveform, Channel::drain_voltage, Channel::freewheel_current, on);
  const double recovery = -backward_product(waveform, Channel::drain_voltage, Channel::junction_current, on);
  const double capacitance = discharge + backward - recovery;
  rows.push_back({LossCause::turn_on, names::channel, total - capacitance - recovery});
  rows.push_back({LossCause::output_capacitance, names::channel, capacitance});
  rows.push_back({LossCause::recovery, names::channel, recovery});
}

void add_channel(const PeriodRecord& record, std::vector<CauseEnergy>& rows) {
  const double total = channel_heat(record.waveform, record.period);
  const double on_end = turn_on_end(record);
  if (!switches(on_end, record.turn_off.drain_begin)) {
    const bool commanded = !std::isnan(record.turn_on.begin);
    rows.push_back({commanded ? LossCause::incomplete_switching : LossCause::conduction, names::channel, total});
    return;
  }
  const Window on{record.turn_on.begin, on_end};
  const Window conducting{on_end, record.turn_off.drain_begin};
  const double conduction = channel_heat(record.waveform, conducting);
  add_turn_on(record.waveform, on, rows);
  rows.push_back({LossCause::conduction, names::channel, conduction});
  rows.push_back({LossCause::turn_off, names::channel, total - conduction - channel_heat(record.waveform, on)});
}

/// By the sign of the voltage, that of the die: what a hot diode leaks is no conduction.
void add_body_diode(const PeriodRecord& record, const network::EnergyEntry& entry, std::vector<CauseEnergy>& rows) {
  double conducted = 0.0;
  for (const Window& stretch : measure::stretches_below(record.waveform, Channel::drain_voltage, 0.0, record.period)) {
    conducted += product(record.waveform, Channel::drain_voltage, Channel::body_current, stretch);
  }
  // The diode itself lies outside the drift region, whose voltage may tip the difference below zero.
  const double leaked = std::max(0.0, entry.energy - conducted);
  rows.push_back({LossCause::reverse_conduction, entry.element, entry.energy - leaked});
  rows.push_back({LossCause::leakage, entry.element, leaked});
}

}  // namespace

std::string_view name(LossCause cause) {
  constexpr auto words = std::to_array<std::string_view>(
      {"conduction", "turn-on", "turn-off", "output capacitance", "recovery", "incomplete switching",
       "freewheel conduction", "reverse conduction", "shoot-through", "leakage", "avalanche", "gate", "driver at rest",
       "snubber", "clamp", "wiring", "output filter", "other"});
  static_assert(words.size() == loss_cause_count);
  return words[static_cast<std::size_t>(cause)];
}

std::vector<CauseEnergy> losses_by_cause(const PeriodRecord& record, std::span<const network::EnergyEntry> ledger) {
  std::vector<CauseEnergy> rows;
  for (const network::EnergyEntry& entry : ledger) {
    if (entry.kind != network::EnergyKind::dissipated || network::belongs_to_load(entry.element)) continue;
    if (entry.element == names::channel) {
      add_channel(record, rows);
    } else if (entry.element == names::body_diode) {
      add_body_diode(record, entry, rows);
    } else if (entry.element == names::diode_of(names::freewheel)) {
      add_junction(record.waveform, Channel::junction_voltage, Channel::junction_current, record.period,
                   LossCause::freewheel_conduction, entry.element, rows);
    } else {
      rows.push_back({cause_of(entry.element), entry.element, entry.energy});
    }
  }
  return rows;
}

LossCause cause_of(std::string_view element) {
  const auto found = causes_of_elements().find(element);
  return found == causes_of_elements().end() ? LossCause::other : found->second;
}

double backward_product(const Waveform& waveform, std::size_t voltage, std::size_t current, Window window) {
  double sum = 0.0;
  for (const Window& stretch : measure::stretches_below(waveform, current, 0.0, window)) {
    sum += product(waveform, voltage, current, stretch);
  }
  return sum;
}

void add_junction(const Waveform& waveform, std::size_t voltage, std::size_t current, Window window, LossCause forward,
                  const std::string& element, std::vector<CauseEnergy>& rows) {
  const double recovery = backward_product(waveform, voltage, current, window);
  rows.push_back({LossCause::recovery, element, recovery});
  rows.push_back({forward, element, product(waveform, voltage, current, window) - recovery});
}

double energy_of(std::span<const CauseEnergy> causes, LossCause cause) {
  double sum = 0.0;
  for (const CauseEnergy& row : causes) {
    if (row.cause == cause) sum += row.energy;
  }
  return sum;
}

}  // namespace gateswing::study
