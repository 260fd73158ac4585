#include "gateswing/study/operating_point.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <string_view>

#include "gateswing/measure/duration.h"
#include "gateswing/measure/extrema.h"
#include "gateswing/measure/integral.h"
#include "gateswing/study/channels.h"
#include "gateswing/study/low_side_run.h"

namespace gateswing::study {
namespace {

using Channel = CellChannels;
using network::EnergyKind;

/// Current at the turn-on command of an ideal switch with freewheel diode on an R-L load.
double valley_current(const network::LowSideCell& cell, const OperatingPointRequest& request) {
  if (cell.load.constant_current) return *cell.load.constant_current;
  if (cell.load.resistance <= 0.0) {
    throw std::invalid_argument(
        "a load without resistance has no steady state: its current grows every period; give the "
        "load a resistance, or a constant current");
  }
  if (cell.load.inductance <= 0.0 || !cell.freewheel) return 0.0;
  const double periods = cell.load.resistance / (cell.load.inductance * request.frequency);
  const double final_current = cell.supply.voltage / cell.load.resistance;
  // (e^(D p) - 1)/(e^p - 1), written without overflow for fast loads
  return final_current * std::exp(-(1.0 - request.duty) * periods) * std::expm1(-request.duty * periods) /
         std::expm1(-periods);
}

/// How far the march still has to go, from the changes over successive periods.
class Periodicity {
 public:
  double residual(const Interval& period) {
    const Eigen::VectorXd step =
        ((period.end_state - period.begin_state).array() / (1.0 + period.end_state.array().abs())).matrix();
    if (last_.size() == 0) last_ = Eigen::VectorXd::Zero(step.size());
    const double scale = last_.squaredNorm();
    const double ratio = scale > 0.0 ? std::clamp(step.dot(last_) / scale, 0.0, most_trusted_ratio) : 0.0;
    last_ = step;
    return step.cwiseAbs().maxCoeff() / (1.0 - ratio);
  }

 private:
  static constexpr double most_trusted_ratio = 1.0 - 1e-6;
  Eigen::VectorXd last_;
};

/// From a command to the end of the driver's own ramp [s].
double longest_delay(const network::CommandTiming& timing) {
  return std::max(timing.turn_on_delay + timing.rise_time, timing.turn_off_delay + timing.fall_time);
}

class March {
 public:
  March(const network::LowSideCell& cell, const OperatingPointRequest& request, const Settings& settings)
      : request_(request),
        settings_(settings),
        period_(1.0 / request.frequency),
        periods_carried_(static_cast<int>(std::ceil(longest_delay(cell.driver.timing) / period_))),
        run_(cell, valley_current(cell, request)) {}

  /// Runs one period; false when the integration fails.
  bool advance(bool record, OperatingPoint& result) {
    set_command();
    const double end = static_cast<double>(count_ + 1) * period_;
    run_.recorder().clear();
    last_ = record ? run_.advance(end, settings_) : run_.simulator().advance(end, settings_, nullptr);
    result.statistics += last_.statistics;
    result.status = last_.status;
    result.message = integrate::sentence(last_.status);
    ++count_;
    return last_.status == integrate::Status::success;
  }

  bool start() {
    set_command();
    return run_.simulator().start(0.0);
  }
  [[nodiscard]] int periods_carried() const { return periods_carried_; }
  [[nodiscard]] const Interval& last() const { return last_; }
  [[nodiscard]] const waveform::Waveform& waveform() const { return run_.waveform(); }
  [[nodiscard]] network::Ledger ledger() const { return run_.simulator().ledger(last_); }
  [[nodiscard]] measure::Window window() const { return {last_.begin_time, last_.end_time}; }
  [[nodiscard]] double turn_off_time() const { return last_.begin_time + request_.duty * period_; }

 private:
  /// The neighbouring pulses too: a driver's delay may carry an edge across the ends of periods.
  void set_command() {
    if (request_.duty <= 0.0) return run_.set_constant_command(0.0);
    if (request_.duty >= 1.0) return run_.set_constant_command(1.0);
    std::vector<network::Pulse> pulses;
    for (int k = std::max(0, count_ - 1 - periods_carried_); k <= count_ + 1; ++k) {
      const double on = static_cast<double>(k) * period_;
      pulses.push_back({on, on + request_.duty * period_});
    }
    run_.set_pulses(pulses);
  }

  OperatingPointRequest request_;
  Settings settings_;
  double period_;
  int periods_carried_;  // by the driver's delay and ramp
  LowSideRun run_;
  Interval last_;
  int count_ = 0;
};

double power_of(const OperatingPoint& result, std::initializer_list<std::string_view> elements) {
  double sum = 0.0;
  for (const ElementEnergy& entry : result.ledger) {
    if (std::ranges::find(elements, entry.element) != elements.end()) sum += entry.power;
  }
  return sum;
}

/// Adds what the driver draws at rest, by the command's share of the period.
void add_driver_at_rest(const network::PushPullDriver& driver, const OperatingPointRequest& request,
                        network::Ledger& ledger) {
  const double power = request.duty * driver.on_state_power + (1.0 - request.duty) * driver.off_state_power;
  if (power == 0.0) return;
  const double energy = power / request.frequency;
  ledger.entries.push_back({driver_at_rest_element, EnergyKind::delivered, energy});
  ledger.entries.push_back({driver_at_rest_element, EnergyKind::dissipated, energy});
}

void read_powers(const network::Ledger& ledger, const network::LowSideCell& cell, OperatingPoint& result) {
  result.energy_residual = ledger.energy_residual;
  result.charge_residual = ledger.charge_residual;
  double stored = 0.0;
  result.input_power = 0.0;
  for (const network::EnergyEntry& entry : ledger.entries) {
    const double power = entry.energy * result.frequency;
    result.ledger.push_back({entry.element, entry.kind, entry.energy, power});
    if (entry.kind == EnergyKind::stored) stored += power;
    // A constant-current load is a source that absorbs.
    if (entry.kind == EnergyKind::delivered && entry.element != "load") result.input_power += power;
  }
  result.load_power = cell.load.constant_current ? -power_of(result, {"load"}) : power_of(result, {"load resistance"});
  result.total_loss = result.input_power - result.load_power - stored;
  // Not over the input power: a bulk capacitor that still settles by a millivolt a period takes watts from it.
  result.efficiency = result.load_power / (result.load_power + result.total_loss);
  result.channel_loss = power_of(result, {"channel", "drain lead resistance", "body diode", "breakdown"});
  result.driver_loss = power_of(result, {"driver"});
}

void read_waveform(const March& march, OperatingPoint& result) {
  result.waveform = march.waveform();
  const waveform::Waveform& waveform = result.waveform;
  const measure::Window period = march.window();
  const double bus = measure::mean(waveform, Channel::bus_voltage, period);
  result.mean_load_current = measure::mean(waveform, Channel::load_current, period);
  result.peak_drain_voltage = measure::maximum(waveform, Channel::drain_voltage, period).value;
  result.overshoot = measure::maximum(waveform, Channel::drain_voltage_pin, period).value - bus;
  result.maximum_gate_voltage = measure::maximum(waveform, Channel::gate_voltage, period).value;
  result.minimum_gate_voltage = measure::minimum(waveform, Channel::gate_voltage, period).value;
  result.peak_drain_current = measure::maximum(waveform, Channel::drain_current, period).value;
  result.transition_share =
      measure::time_between(waveform, Channel::drain_voltage, 0.1 * bus, 0.9 * bus, period) / period.length();
  result.on_share = 1.0 - measure::time_above(waveform, Channel::drain_voltage, 0.1 * bus, period) / period.length();
  if (result.duty <= 0.0 || result.duty >= 1.0) return;
  result.turn_on = turn_on_figures(waveform, {period.begin, march.turn_off_time()});
  result.turn_off = turn_off_figures(waveform, {march.turn_off_time(), period.end});
}

void read_results(const March& march, const network::LowSideCell& cell, const OperatingPointRequest& request,
                  OperatingPoint& result) {
  network::Ledger ledger = march.ledger();
  add_driver_at_rest(cell.driver, request, ledger);
  read_powers(ledger, cell, result);
  read_waveform(march, result);
  result.causes = losses_by_cause({result.waveform, march.window(), result.turn_on.instants, result.turn_off.instants},
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
                               const Settings& settings) {
  require_valid(request);
  March march(cell, request, settings);
  OperatingPoint result{.message = {},
                        .frequency = request.frequency,
                        .duty = request.duty,
                        .ledger = {},
                        .causes = {},
                        .turn_on = {},
                        .turn_off = {},
                        .statistics = {},
                        .waveform = march.waveform()};
  if (!march.start()) {
    result.status = integrate::Status::singular;
    result.message = "the resistive part of the circuit has no operating point at the start";
    return result;
  }
  Periodicity periodicity;
  // Nothing changes until the first edge has come through the driver. After that the residual must hold twice: a fast
  // change may cover a slow one for a period.
  int held = -march.periods_carried();
  while (held < 2 && result.periods < request.maximum_periods) {
    if (!march.advance(false, result)) return result;
    ++result.periods;
    result.periodicity_residual = periodicity.residual(march.last());
    const bool holds = result.periodicity_residual <= request.periodicity_tolerance;
    held = held < 0 || holds ? held + 1 : 0;
  }
  result.periodic = held >= 2;
  if (!march.advance(true, result)) return result;
  if (!result.periodic) result.message = "the cell did not become periodic in the periods allowed; see the residual";
  read_results(march, cell, request, result);
  return result;
}

}  // namespace gateswing::study
