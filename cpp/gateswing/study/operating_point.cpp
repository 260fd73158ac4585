#include "gateswing/study/operating_point.h"

#include <algorithm>
#include <cmath>
#include <span>
#include <stdexcept>
#include <string_view>
#include <utility>

#include "gateswing/measure/duration.h"
#include "gateswing/measure/extrema.h"
#include "gateswing/measure/integral.h"
#include "gateswing/study/channels.h"
#include "gateswing/study/shared_lanes.h"
#include "gateswing/study/switched_cell.h"

namespace gateswing::study {
namespace {

using Channel = CellChannels;
using network::EnergyKind;

double power_of(const OperatingPoint& result, std::span<const std::string_view> elements) {
  double sum = 0.0;
  for (const ElementEnergy& entry : result.ledger) {
    if (std::ranges::find(elements, entry.element) != elements.end()) sum += entry.power;
  }
  return sum;
}

/// Adds what the driver draws at rest, by the command's share of the period.
void add_driver_at_rest(const network::PushPullDriver& driver, const OperatingPoint& point, network::Ledger& ledger) {
  const double power = point.duty * driver.on_state_power + (1.0 - point.duty) * driver.off_state_power;
  if (power == 0.0) return;
  const double energy = power / point.frequency;
  ledger.entries.push_back({network::driver_at_rest_element, EnergyKind::delivered, energy});
  ledger.entries.push_back({network::driver_at_rest_element, EnergyKind::dissipated, energy});
}

double power_of(const OperatingPoint& result, std::string_view element) {
  return power_of(result, std::span(&element, 1));
}

/// What the load is there for; of a motor that stands still it is nothing.
double useful_power(const OperatingPoint& result, const network::Load& load) {
  if (load.back_emf) return -power_of(result, "load back-EMF");
  return load.leds ? power_of(result, "load junctions") : result.load_power;
}

void read_powers(const network::Ledger& ledger, const network::LowSideCell& cell, OperatingPoint& result) {
  result.energy_residual = ledger.energy_residual;
  result.charge_residual = ledger.charge_residual;
  double stored = 0.0;
  result.input_power = 0.0;
  result.load_power = 0.0;
  for (const network::EnergyEntry& entry : ledger.entries) {
    const double power = entry.energy * result.frequency;
    result.ledger.push_back({entry.element, entry.kind, entry.energy, power});
    if (entry.kind == EnergyKind::stored) {
      stored += power;
    } else if (network::belongs_to_load(entry.element)) {
      // A constant current and a back-EMF are sources that absorb.
      result.load_power += entry.kind == EnergyKind::delivered ? -power : power;
    } else if (entry.kind == EnergyKind::delivered) {
      result.input_power += power;
    }
  }
  result.useful_power = useful_power(result, cell.load);
  result.total_loss = result.input_power - result.load_power - stored;
  // Not over the input power: a bulk capacitor that still settles by a millivolt a period takes watts from it.
  result.efficiency = result.load_power / (result.load_power + result.total_loss);
  result.channel_loss = power_of(result, mosfet_elements);
  result.driver_loss = power_of(result, "driver");
}

/// From the shares of the period that lie in a window, at the mean bus voltage [V].
void read_shares(const waveform::Waveform& waveform, measure::Window window, double bus, OperatingPoint& result) {
  const double low = 0.1 * bus;
  const double above = measure::time_above(waveform, Channel::drain_voltage, low, window);
  const double between = measure::time_between(waveform, Channel::drain_voltage, low, 0.9 * bus, window);
  result.on_share = (window.length() - above) * result.frequency;
  result.transition_share = between * result.frequency;
}

void read_waveform(OperatingPoint& result) {
  const waveform::Waveform& waveform = result.waveform;
  const measure::Window period = measure::whole(waveform);
  const double bus = measure::mean(waveform, Channel::bus_voltage, period);
  result.mean_load_current = measure::mean(waveform, Channel::load_current, period);
  result.load_current_ripple = measure::maximum(waveform, Channel::load_current, period).value -
                               measure::minimum(waveform, Channel::load_current, period).value;
  result.peak_drain_voltage = measure::maximum(waveform, Channel::drain_voltage, period).value;
  result.overshoot = measure::maximum(waveform, Channel::drain_voltage_pin, period).value - bus;
  result.maximum_gate_voltage = measure::maximum(waveform, Channel::gate_voltage, period).value;
  result.minimum_gate_voltage = measure::minimum(waveform, Channel::gate_voltage, period).value;
  result.peak_drain_current = measure::maximum(waveform, Channel::drain_current, period).value;
  read_shares(waveform, period, bus, result);
}

/// The period from one command "on" at the driver's output to the next.
measure::Window cycle(const SwitchedCell& switched) {
  const double begin = switched.switches() ? switched.command().on : 0.0;
  return {begin, begin + switched.period()};
}

/// Runs on to the end of the switching cycle that begins within the recorded period.
integrate::Status complete(LowSideRun& run, const SwitchedCell& switched, const Settings& settings) {
  const double end = cycle(switched).end;
  return end > run.simulator().time() ? run.advance(end, settings).status : integrate::Status::success;
}

/// Reads the edges of a record that goes on to the end of their cycle.
void read_edges(const waveform::Waveform& waveform, const SwitchedCell& switched, OperatingPoint& result) {
  if (!switched.switches()) return;
  const auto [on, end] = cycle(switched);
  const double off = on + switched.command().on_duration;
  result.turn_on = turn_on_figures(waveform, {on, off});
  result.turn_off = turn_off_figures(waveform, {off, end});
  // Once the load current has stopped the drain rings about bus less back-EMF, on no way of its own.
  const double left = result.turn_off.instants.drain_end;
  if (std::isnan(left)) return;
  const double bus = measure::mean(result.waveform, Channel::bus_voltage, measure::whole(result.waveform));
  read_shares(waveform, {on, left}, bus, result);
}

/// Of a steady state: else they would be those of a state on its way.
void read_temperatures(const Eigen::VectorXd& temperatures, const network::LowSideCell& cell, OperatingPoint& result) {
  if (cell.cooled_mosfet) result.junction_temperature = temperatures[0];
  if (cell.cooled_freewheel) result.freewheel_temperature = temperatures[temperatures.size() - 1];
}

/// The period itself, from the state found.
void record(const SwitchedCell& switched, const PeriodicState& steady, const Settings& settings,
            OperatingPoint& result) {
  LowSideRun run = switched.run(steady.start);
  if (!run.simulator().start(0.0, steady.start.state)) {
    result.status = integrate::Status::singular;
    return;
  }
  const Interval period = run.advance(switched.period(), settings);
  result.statistics += period.statistics;
  result.status = period.status;
  if (period.status != integrate::Status::success) return;
  waveform::Waveform recorded = run.waveform();
  result.status = complete(run, switched, settings);
  if (result.status != integrate::Status::success) return;
  result.waveform = std::move(recorded);
  network::Ledger ledger = run.simulator().ledger(period);
  const PeriodEnd end{period.status, period.end_state,
                      mean_heat(switched.circuit().junctions, ledger, switched.period())};
  if (steady.correction) {
    result.periodicity_residual =
        steady.correction->change_after({period.begin_state, steady.start.temperatures}, end).size;
  }
  add_driver_at_rest(switched.cell().driver, result, ledger);
  read_powers(ledger, switched.cell(), result);
  read_waveform(result);
  read_edges(run.waveform(), switched, result);
  result.causes = losses_by_cause({run.waveform(), cycle(switched), result.turn_on.instants, result.turn_off.instants},
                                  ledger.entries);
}

void require_valid(const OperatingPointRequest& request) {
  if (!(request.frequency > 0.0) || !std::isfinite(request.frequency)) {
    throw std::invalid_argument("the frequency [Hz] must be positive and finite");
  }
  const bool within = request.duty >= 0.0 && request.duty <= 1.0;
  if (!within) throw std::invalid_argument("the duty must lie between 0 and 1");
}

}  // namespace

OperatingPoint operating_point(const network::LowSideCell& cell, const OperatingPointRequest& request,
                               const Settings& settings, std::span<const lanes::Kernel> kernels) {
  require_valid(request);
  const lanes::Kernel* const kernel = lanes::kernel_for(kernels, 1);
  if (settings.lanes == nullptr && kernel != nullptr) {
    return on_lanes(*kernel, settings, [&](const Settings& on) { return operating_point(cell, request, on, {}); });
  }
  const SwitchedCell switched(cell, request.frequency, request.duty);
  const double tolerance = chosen_tolerance(request.periodicity_tolerance, settings);
  const PeriodicState steady = find_periodic_state(
      switched.circuit(), {.tolerance = tolerance, .maximum_periods = request.maximum_periods}, settings);
  OperatingPoint result{.status = steady.status,
                        .message = steady.message,
                        .outcome = steady.outcome,
                        .periods = steady.periods,
                        .corrections = steady.corrections,
                        .frequency = request.frequency,
                        .duty = request.duty,
                        .ledger = {},
                        .causes = {},
                        .largest_multiplier = steady.largest_multiplier,
                        .turn_on = {},
                        .turn_off = {},
                        .statistics = steady.statistics,
                        .waveform = switched.run(steady.start).waveform()};
  if (steady.start.temperatures.size() > 0) result.thermal_gain = steady.thermal_gain;
  if (result.status != integrate::Status::success) return result;
  record(switched, steady, settings, result);
  if (result.status != integrate::Status::success) {
    result.message = integrate::sentence(result.status);
  } else if (result.periodic()) {
    result.message = record_objection(result.periodicity_residual, tolerance);
    if (!result.message.empty()) result.outcome = PeriodicOutcome::not_periodic;
  }
  if (result.periodic()) read_temperatures(steady.start.temperatures, cell, result);
  return result;
}

}  // namespace gateswing::study
