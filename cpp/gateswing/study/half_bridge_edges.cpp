#include "gateswing/study/half_bridge_edges.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <vector>

#include "gateswing/network/cell_checks.h"
#include "gateswing/network/refusals.h"
#include "gateswing/study/half_bridge_run.h"
#include "gateswing/study/switching_time.h"

namespace gateswing::study {
namespace {

using network::BridgeSwitch;
using network::HalfBridgeCell;
using network::Side;

/// The commands in order of time [s].
struct Schedule {
  double begin;   ///< of the record
  double first;   ///< the earlier command of the first commutation
  double second;  ///< the earlier command of the second commutation
  double on_time;
  double off_time;

  [[nodiscard]] double end() const { return on_time + off_time; }
};

/// At either edge, with the other command a dead time before or behind it [s].
double look_at_edges(const HalfBridgeCell& cell, double dead_time) {
  const auto estimate = [&](const BridgeSwitch& one) {
    return switching_time_estimate(one.mosfet, one.driver, one.gate, cell.supply.voltage);
  };
  return look_at_edge(std::max(estimate(cell.high), estimate(cell.low))) + 2.0 * std::abs(dead_time);
}

Schedule schedule(const HalfBridgeCell& cell, const HalfBridgeRequest& request) {
  const double dead_time = request.dead_time;
  network::require_finite(dead_time, {}, "the dead time [s]");
  const double look = look_at_edges(cell, dead_time);
  const double on_time = time_or(request.on_time, look, "the on-time");
  const double off_time = time_or(request.off_time, look, "the off-time");
  const double shorter = std::min(on_time, off_time);
  if (std::abs(dead_time) >= shorter)
    network::refuse(dead_time, {}, "the dead time [s]", "shorter than on-time and off-time, " + network::text(shorter));
  const double first = std::min(0.0, -dead_time);
  const double voltage = cell.supply.voltage + cell.load.resistance * std::abs(request.current);
  return {first - look_before(cell.load, request.current, voltage), first, std::min(on_time, on_time + dead_time),
          on_time, off_time};
}

double load_current(const HalfBridgeCell& cell, double requested) {
  if (const auto held = held_current(cell.load, requested)) return *held;
  if (cell.load.inductance == 0.0)
    throw std::invalid_argument(
        "a load without inductance carries no current of its own into an edge: give it an inductance [H] or a constant "
        "current [A]");
  return requested;
}

void set_commands(HalfBridgeRun& run, const HalfBridgeRequest& request, const Schedule& plan) {
  constexpr double long_before = 1.0;  // the other switch has been on since then [s]
  run.set_pulses(request.active, {{0.0, plan.on_time}});
  run.set_pulses(network::opposite(request.active), {{plan.begin - long_before, -request.dead_time},
                                                     {plan.on_time + request.dead_time, plan.end() + long_before}});
}

void read_figures(const HalfBridgeCell& cell, const HalfBridgeRequest& request, const Schedule& plan,
                  HalfBridgeEdges& result) {
  const Side active = request.active;
  const Side other = network::opposite(active);
  const auto threshold = [&](Side side) { return cell.at(side).mosfet.channel.threshold_voltage; };
  const auto commutation = [&](Side incoming, measure::Window window) {
    return commutation_figures(
        result.waveform, window,
        {incoming, request.dead_time, threshold(network::opposite(incoming)), threshold(incoming)});
  };
  result.current = result.waveform.value(BridgeChannels::load_current, plan.on_time);
  result.turn_on = turn_on_figures(result.waveform, {0.0, plan.on_time}, edge_channels(active));
  result.turn_off = turn_off_figures(result.waveform, {plan.on_time, plan.end()}, edge_channels(active));
  result.to_active = commutation(active, {plan.first, plan.second});
  result.from_active = commutation(other, {plan.second, plan.end()});
}

}  // namespace

HalfBridgeEdges half_bridge_edges(const HalfBridgeCell& cell, const HalfBridgeRequest& request,
                                  const simulate::Settings& settings) {
  network::require_valid(cell);
  HalfBridgeRequest used = request;
  used.current = load_current(cell, request.current);
  const Schedule plan = schedule(cell, used);
  HalfBridgeRun run(cell, used.current, network::opposite(request.active));
  set_commands(run, used, plan);
  TransientRun transient(run, plan.begin, settings);
  transient.lead_in(plan.first);
  transient.advance(plan.end());
  HalfBridgeEdges result{transient.result(), no_figure, plan.on_time, plan.off_time};
  if (result.succeeded()) read_figures(cell, used, plan, result);
  return result;
}

}  // namespace gateswing::study
