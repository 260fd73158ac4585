#include "gateswing/study/half_bridge_point.h"

#include <algorithm>
#include <cmath>

#include "gateswing/measure/common_part.h"
#include "gateswing/measure/extrema.h"
#include "gateswing/measure/integral.h"
#include "gateswing/simulate/shared_lanes.h"
#include "gateswing/study/half_bridge_channels.h"

namespace gateswing::study {
namespace {

namespace names = network::names;
using measure::Window;
using network::EnergyKind;
using network::HalfBridgeCell;
using network::prefix;
using network::Side;
using Channel = BridgeChannels;

SideCycle cycle(const SwitchedBridge& bridge, Side side) {
  const network::PeriodicCommand& command = bridge.command(side);
  return {command.on, command.on + command.on_duration, command.on + bridge.period()};
}

/// By each command's share of the period; that of a bootstrap is an element.
void add_drivers_at_rest(const SwitchedBridge& bridge, network::Ledger& ledger) {
  for (const Side side : {Side::high, Side::low}) {
    if (side == Side::high && bridge.cell().bootstrap) continue;
    add_driver_at_rest(bridge.cell().at(side).driver, bridge.command(side).on_duration, bridge.period(),
                       prefix(side) + names::driver_at_rest, ledger);
  }
}

/// A source that takes power in the mean is what the converter works for.
void read_powers(const HalfBridgeCell& cell, HalfBridgePoint& result) {
  result.input_power = 0.0;
  result.load_power = 0.0;
  double stored = 0.0;
  for (const auto& [element, kind, energy, power] : result.ledger) {
    if (kind == EnergyKind::stored) stored += power;
    if (kind == EnergyKind::delivered) (power > 0.0 ? result.input_power : result.load_power) += std::abs(power);
    if (kind == EnergyKind::dissipated && is_useful(element, cell.output.has_value())) result.load_power += power;
  }
  result.total_loss = result.input_power - result.load_power - stored;
  result.efficiency = result.load_power / (result.load_power + result.total_loss);
  for (const Side side : {Side::high, Side::low}) {
    SwitchFigures& figures = result.at(side);
    figures.loss = power_of(result, mosfet_elements(prefix(side)));
    if (cell.at(side).diode) figures.diode_loss = power_of(result, diode_elements(side));
    figures.driver_loss = power_of(result, {prefix(side) + names::driver});
  }
}

void read_waveform(const waveform::Waveform& waveform, const SwitchedBridge& bridge, HalfBridgePoint& result) {
  const Window period{0.0, bridge.period()};
  result.mean_load_current = measure::mean(waveform, Channel::load_current, period);
  result.rms_load_current = measure::root_mean_square(waveform, Channel::load_current, period);
  result.load_current_ripple = measure::peak_to_peak(waveform, Channel::load_current, period);
  result.mean_switch_voltage = measure::mean(waveform, Channel::switch_voltage, period);
  result.high_supply_maximum = measure::maximum(waveform, Channel::high_supply_voltage, period).value;
  if (bridge.cell().output) {
    result.output_voltage = measure::mean(waveform, Channel::output_voltage, period);
    result.output_ripple = measure::peak_to_peak(waveform, Channel::output_voltage, period);
  }
  const SwitchChannels high = channels_of(Side::high);
  const SwitchChannels low = channels_of(Side::low);
  result.shoot_through_charge = measure::common_part(waveform, high.channel_current, low.channel_current, period);
  for (const Side side : {Side::high, Side::low}) {
    const SwitchChannels of = channels_of(side);
    SwitchFigures& figures = result.at(side);
    figures.rms_current = measure::root_mean_square(waveform, of.drain_current, period);
    figures.peak_drain_voltage = measure::maximum(waveform, of.drain_voltage, period).value;
    figures.maximum_gate_voltage = measure::maximum(waveform, of.gate_voltage, period).value;
    figures.minimum_gate_voltage = measure::minimum(waveform, of.gate_voltage, period).value;
  }
}

/// The two stretches between the first commands of each commutation, from `from_active` on.
struct CommutationWindows {
  Window from_active;
  Window to_active;
};

CommutationWindows commutation_windows(const BridgeOperation& operation) {
  const double period = 1.0 / operation.frequency;
  const double off = operation.duty * period + std::min(0.0, operation.dead_time);
  const double on = period + std::min(0.0, -operation.dead_time);
  return {{off, on}, {on, off + period}};
}

/// Reads the edges of a record that goes on for longer than the period, by the thresholds of the parts as they ran.
void read_edges(const waveform::Waveform& waveform, const SwitchedBridge& bridge, const HalfBridgeCell& as_run,
                HalfBridgePoint& result) {
  const Side active = bridge.operation().active;
  const Side other = network::opposite(active);
  if (!bridge.switches(active)) return;
  const auto [on, off, end] = cycle(bridge, active);
  result.turn_on = turn_on_figures(waveform, {on, off}, edge_channels(active));
  result.turn_off = turn_off_figures(waveform, {off, end}, edge_channels(active));
  if (!bridge.switches(other)) return;
  const auto threshold = [&](Side side) { return as_run.at(side).mosfet.channel.threshold_voltage; };
  const auto [from_active, to_active] = commutation_windows(bridge.operation());
  const double dead_time = bridge.operation().dead_time;
  result.from_active =
      commutation_figures(waveform, from_active, {other, dead_time, threshold(active), threshold(other)});
  result.to_active = commutation_figures(waveform, to_active, {active, dead_time, threshold(other), threshold(active)});
}

/// Where the last of the cycles that begin within the recorded period ends [s].
double end_of_cycles(const SwitchedBridge& bridge) {
  return std::max({cycle(bridge, Side::high).end, cycle(bridge, Side::low).end,
                   commutation_windows(bridge.operation()).to_active.end});
}

/// The period itself, from the state found.
void record(const SwitchedBridge& bridge, const simulate::PeriodicState& steady, const simulate::Settings& settings,
            HalfBridgePoint& result) {
  HalfBridgeRun run = bridge.run(steady.start);
  auto ledger =
      record_period(run.simulator(), run.recorder(), bridge.circuit(), steady, end_of_cycles(bridge), settings, result);
  if (!ledger) return;
  add_drivers_at_rest(bridge, *ledger);
  read_ledger(*ledger, result);
  read_powers(bridge.cell(), result);
  read_waveform(result.waveform, bridge, result);
  const SideCycle high = cycle(bridge, Side::high);
  if (bridge.switches(Side::high)) {
    result.high_supply_minimum =
        measure::minimum(run.waveform(), Channel::high_supply_voltage, {high.on, high.off}).value;
  }
  read_edges(run.waveform(), bridge, bridge.cell_at(steady.start.temperatures), result);
  result.causes = bridge_losses(
      {run.waveform(), high, cycle(bridge, Side::low),
       measure::mean(result.waveform, Channel::bus_voltage, {0.0, bridge.period()}), bridge.cell().output.has_value()},
      ledger->entries);
}

}  // namespace

HalfBridgePoint half_bridge_point(const HalfBridgeCell& cell, const HalfBridgePointRequest& request,
                                  const simulate::Settings& settings, std::span<const lanes::Kernel> kernels) {
  const lanes::Kernel* const kernel = lanes::kernel_for(kernels, 1);
  if (settings.lanes == nullptr && kernel != nullptr) {
    return simulate::on_lanes(*kernel, settings,
                              [&](const simulate::Settings& on) { return half_bridge_point(cell, request, on, {}); });
  }
  const SwitchedBridge bridge(cell, request.operation);
  const double tolerance = simulate::chosen_tolerance(request.periodicity_tolerance, settings);
  const simulate::PeriodicState steady = simulate::find_periodic_state(
      bridge.circuit(), {.tolerance = tolerance, .maximum_periods = request.maximum_periods}, settings);
  HalfBridgePoint result{found_period(steady, request.operation.frequency, bridge.run(steady.start).waveform())};
  result.operation = request.operation;
  if (result.status != integrate::Status::success) return result;
  record(bridge, steady, settings, result);
  judge_record(tolerance, result);
  read_temperatures(bridge.heated(), steady, result);
  return result;
}

}  // namespace gateswing::study
