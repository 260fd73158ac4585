#include "gateswing/study/half_bridge_edges.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <vector>

#include "gateswing/study/half_bridge_run.h"
#include "gateswing/study/switching_time.h"

namespace gateswing::study {
namespace {

using network::BridgeSwitch;
using network::HalfBridgeCell;
using network::Side;

constexpr double shortest_look = 1e-6;        // so that rings in layouts of the usual size are seen [s]
constexpr double switching_times_seen = 5.0;  // common practice, no source

const char* no_consistent_start = "the resistive part of the circuit has no operating point at the start";

/// The commands in order of time [s].
struct Schedule {
  double begin;   ///< of the record
  double first;   ///< the earlier command of the first commutation
  double second;  ///< the earlier command of the second commutation
  double on_time;
  double off_time;

  [[nodiscard]] double end() const { return on_time + off_time; }
};

double chosen(double requested, double dead_time, const HalfBridgeCell& cell) {
  if (!(requested >= 0.0) || !std::isfinite(requested))
    throw std::invalid_argument("on-time and off-time [s] must be finite and positive, or 0 to have them chosen");
  if (requested > 0.0) return requested;
  const auto estimate = [&](const BridgeSwitch& one) {
    return switching_time_estimate(one.mosfet, one.driver, one.gate, cell.supply.voltage);
  };
  const double longest = std::max(estimate(cell.high), estimate(cell.low));
  return std::max(shortest_look, switching_times_seen * longest) + 2.0 * std::abs(dead_time);
}

/// Time to record before the first command, in which the load current must not move by more than a thousandth [s].
double look_before(const HalfBridgeCell& cell, double current) {
  constexpr double allowed_change = 1e-3;
  const network::Load& load = cell.load;
  if (load.constant_current || current == 0.0) return shortest_look;
  const double slope = (cell.supply.voltage + load.resistance * std::abs(current)) / load.inductance;
  return std::min(shortest_look, allowed_change * std::abs(current) / slope);
}

Schedule schedule(const HalfBridgeCell& cell, const HalfBridgeRequest& request) {
  const double dead_time = request.dead_time;
  if (!std::isfinite(dead_time)) throw std::invalid_argument("the dead time [s] must be finite");
  const double on_time = chosen(request.on_time, dead_time, cell);
  const double off_time = chosen(request.off_time, dead_time, cell);
  if (std::abs(dead_time) >= std::min(on_time, off_time))
    throw std::invalid_argument("the dead time must be shorter than the on-time and the off-time");
  const double first = std::min(0.0, -dead_time);
  return {first - look_before(cell, request.current), first, std::min(on_time, on_time + dead_time), on_time, off_time};
}

double load_current(const HalfBridgeCell& cell, double requested) {
  if (!std::isfinite(requested)) throw std::invalid_argument("the load current [A] must be finite");
  const network::Load& load = cell.load;
  if (load.constant_current) {
    if (requested != 0.0 && requested != *load.constant_current)
      throw std::invalid_argument("the load is a constant current; state the current there, not with the edges");
    return *load.constant_current;
  }
  if (load.inductance == 0.0)
    throw std::invalid_argument(
        "a load without inductance carries no current of its own into an edge: give it an inductance or a constant "
        "current");
  return requested;
}

void set_commands(HalfBridgeRun& run, const HalfBridgeRequest& request, const Schedule& plan) {
  constexpr double long_before = 1.0;  // the other switch has been on since then [s]
  run.set_pulses(request.active, {{0.0, plan.on_time}});
  run.set_pulses(network::opposite(request.active), {{plan.begin - long_before, -request.dead_time},
                                                     {plan.on_time + request.dead_time, plan.end() + long_before}});
}

/// From the first command to the end; the statistics are those of the whole run.
simulate::Interval advance(HalfBridgeRun& run, const Schedule& plan, const simulate::Settings& settings,
                           integrate::Statistics& statistics) {
  simulate::Interval total = run.advance(plan.first, settings);
  statistics += total.statistics;
  if (total.status != integrate::Status::success) return total;
  total = run.advance(plan.end(), settings);
  statistics += total.statistics;
  return total;
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
  const double current = load_current(cell, request.current);
  HalfBridgeRequest used = request;
  used.current = current;
  const Schedule plan = schedule(cell, used);
  HalfBridgeRun run(cell, current, network::opposite(request.active));
  HalfBridgeEdges result{.message = {},
                         .on_time = plan.on_time,
                         .off_time = plan.off_time,
                         .turn_on = {},
                         .turn_off = {},
                         .to_active = {},
                         .from_active = {},
                         .ledger = {},
                         .statistics = {},
                         .waveform = run.waveform()};
  set_commands(run, used, plan);
  if (!run.simulator().start(plan.begin)) {
    result.status = integrate::Status::singular;
    result.message = no_consistent_start;
    return result;
  }
  const simulate::Interval total = advance(run, plan, settings, result.statistics);
  result.status = total.status;
  result.message = integrate::sentence(result.status);
  result.waveform = run.waveform();
  if (result.status != integrate::Status::success) return result;
  result.ledger = run.simulator().ledger(total);
  read_figures(cell, used, plan, result);
  return result;
}

}  // namespace gateswing::study
