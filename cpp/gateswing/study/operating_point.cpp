#include "gateswing/study/operating_point.h"

#include <algorithm>
#include <cmath>
#include <span>

#include "gateswing/measure/duration.h"
#include "gateswing/measure/extrema.h"
#include "gateswing/measure/integral.h"
#include "gateswing/simulate/shared_lanes.h"
#include "gateswing/study/channels.h"
#include "gateswing/study/switched_cell.h"

namespace gateswing::study {
namespace {

using Channel = CellChannels;
namespace names = network::names;
using network::EnergyKind;

/// What the load is there for; of a motor that stands still it is nothing.
double useful_power(const OperatingPoint& result, const network::Load& load) {
  if (load.back_emf) return 0.0 - power_of(result, {names::load_back_emf});  // of a rotor at rest 0, not -0
  return load.leds ? power_of(result, {names::load_junctions}) : result.load_power;
}

void read_powers(const network::Load& load, OperatingPoint& result) {
  double stored = 0.0;
  result.input_power = 0.0;
  result.load_power = 0.0;
  for (const ElementEnergy& entry : result.ledger) {
    if (entry.kind == EnergyKind::stored) {
      stored += entry.power;
    } else if (network::belongs_to_load(entry.element)) {
      // A constant current and a back-EMF are sources that absorb.
      result.load_power += entry.kind == EnergyKind::delivered ? -entry.power : entry.power;
    } else if (entry.kind == EnergyKind::delivered) {
      result.input_power += entry.power;
    }
  }
  result.useful_power = useful_power(result, load);
  result.total_loss = result.input_power - result.load_power - stored;
  // Not over the input power: a bulk capacitor that still settles by a millivolt a period takes watts from it.
  // A load that feeds the bus, as a motor that is driven, has none.
  if (result.load_power >= 0.0) result.efficiency = result.load_power / (result.load_power + result.total_loss);
  result.channel_loss = power_of(result, mosfet_elements(""));
  result.driver_loss = power_of(result, {names::driver});
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
  result.load_current_ripple = measure::peak_to_peak(waveform, Channel::load_current, period);
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

/// The period itself, from the state found.
void record(const SwitchedCell& switched, const simulate::PeriodicState& steady, const simulate::Settings& settings,
            OperatingPoint& result) {
  LowSideRun run = switched.run(steady.start);
  auto ledger =
      record_period(run.simulator(), run.recorder(), switched.circuit(), steady, cycle(switched).end, settings, result);
  if (!ledger) return;
  const network::LowSideCell& cell = switched.cell();
  add_driver_at_rest(cell.driver, result.duty * switched.period(), switched.period(), names::driver_at_rest, *ledger);
  read_ledger(*ledger, result);
  read_powers(cell.load, result);
  read_waveform(result);
  read_edges(run.waveform(), switched, result);
  result.causes = losses_by_cause({run.waveform(), cycle(switched), result.turn_on.instants, result.turn_off.instants},
                                  ledger->entries);
}

}  // namespace

OperatingPoint operating_point(const network::LowSideCell& cell, const OperatingPointRequest& request,
                               const simulate::Settings& settings, std::span<const lanes::Kernel> kernels) {
  const lanes::Kernel* const kernel = lanes::kernel_for(kernels, 1);
  if (settings.lanes == nullptr && kernel != nullptr) {
    return simulate::on_lanes(*kernel, settings,
                              [&](const simulate::Settings& on) { return operating_point(cell, request, on, {}); });
  }
  const SwitchedCell switched(cell, request.frequency, request.duty);
  const double tolerance = simulate::chosen_tolerance(request.periodicity_tolerance, settings);
  const simulate::PeriodicState steady = simulate::find_periodic_state(
      switched.circuit(), {.tolerance = tolerance, .maximum_periods = request.maximum_periods}, settings);
  OperatingPoint result{found_period(steady, request.frequency, switched.run(steady.start).waveform())};
  result.duty = request.duty;
  if (result.status != integrate::Status::success) return result;
  record(switched, steady, settings, result);
  judge_record(tolerance, result);
  read_temperatures(switched.heated(), steady, result);
  return result;
}

}  // namespace gateswing::study
