#include "gateswing/study/double_pulse.h"

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <stdexcept>
#include <vector>

#include "gateswing/study/channels.h"
#include "gateswing/study/switching_time.h"

namespace gateswing::study {
namespace {

constexpr double shortest_look = 1e-6;        // so that rings in layouts of the usual size are seen [s]
constexpr double switching_times_seen = 5.0;  // common practice, no source

const char* no_consistent_start = "the resistive part of the circuit has no operating point at the start";

double chosen(double requested, const network::LowSideCell& cell, double mosfets) {
  if (!(requested >= 0.0) || !std::isfinite(requested))
    throw std::invalid_argument("on-time and off-time [s] must be finite and positive, or 0 to have them chosen");
  if (requested > 0.0) return requested;
  return std::max(shortest_look, mosfets * switching_times_seen * switching_time_estimate(cell));
}

double initial_current(const network::LowSideCell& cell, double requested) {
  const network::Load& load = cell.load;
  if (load.constant_current) {
    if (requested != 0.0 && requested != *load.constant_current)
      throw std::invalid_argument("the load is a constant current; state the current there, not in the double pulse");
    return *load.constant_current;
  }
  if (load.inductance == 0.0) {
    if (requested != 0.0)
      throw std::invalid_argument("a load without inductance carries no current before turn-on: leave the current out");
    return 0.0;
  }
  if (requested != 0.0) return requested;
  if (!cell.freewheel) return 0.0;
  if (load.resistance == 0.0)
    throw std::invalid_argument("a load without resistance sets no current of its own: state the current");
  return network::settled_current(load, cell.supply.voltage);
}

/// Time to record before the command, in which the load current of a freewheeling load must not fade by more than a
/// thousandth [s].
double look_before(const network::LowSideCell& cell, double current) {
  constexpr double allowed_fading = 1e-3;
  constexpr double freewheel_voltage = 1.0;  // [V], about
  const network::Load& load = cell.load;
  if (load.constant_current || load.inductance == 0.0 || current == 0.0) return shortest_look;
  const double against = load.resistance * std::abs(current) + network::opposing_voltage(load, current);
  const double slope = (against + freewheel_voltage) / load.inductance;
  return std::min(shortest_look, allowed_fading * std::abs(current) / slope);
}

/// Runs to each of `ends` in turn and returns what happened from time 0 on; the statistics are those of the whole run.
simulate::Interval advance_over_edges(LowSideRun& run, std::initializer_list<double> ends,
                                      const simulate::Settings& settings, integrate::Statistics& statistics) {
  simulate::Interval total;
  for (const double end : ends) {
    const simulate::Interval piece = run.advance(end, settings);
    statistics += piece.statistics;
    if (piece.begin_time > 0.0) {
      append(total, piece);
    } else {
      total = piece;
    }
    if (piece.status != integrate::Status::success) break;
  }
  return total;
}

}  // namespace

PulsePlan plan_pulse(const network::LowSideCell& cell, const DoublePulseRequest& request, double mosfets) {
  return {initial_current(cell, request.current), chosen(request.on_time, cell, mosfets),
          chosen(request.off_time, cell, mosfets)};
}

DoublePulse record_pulse(LowSideRun& run, const network::LowSideCell& cell, const PulsePlan& plan,
                         const simulate::Settings& settings) {
  const auto [current, on_time, off_time] = plan;
  DoublePulse result{.message = {},
                     .on_time = on_time,
                     .off_time = off_time,
                     .turn_on = {},
                     .turn_off = {},
                     .ledger = {},
                     .statistics = {},
                     .waveform = run.waveform()};
  run.set_command(network::gate_command(std::vector<network::Pulse>{{0.0, on_time}}, cell.driver.timing));
  if (!run.simulator().start(-look_before(cell, current))) {
    result.status = integrate::Status::singular;
    result.message = no_consistent_start;
    return result;
  }
  const simulate::Interval total =
      advance_over_edges(run, {0.0, on_time, on_time + off_time}, settings, result.statistics);
  result.status = total.status;
  result.message = integrate::sentence(result.status);
  result.waveform = run.waveform();
  if (result.status != integrate::Status::success) return result;
  result.ledger = run.simulator().ledger(total);
  result.current = result.waveform.value(CellChannels::load_current, on_time);
  result.turn_on = turn_on_figures(result.waveform, {0.0, on_time});
  result.turn_off = turn_off_figures(result.waveform, {on_time, on_time + off_time});
  return result;
}

DoublePulse double_pulse(const network::LowSideCell& cell, const DoublePulseRequest& request,
                         const simulate::Settings& settings) {
  const PulsePlan plan = plan_pulse(cell, request);
  LowSideRun run(cell, plan.current);
  return record_pulse(run, cell, plan, settings);
}

}  // namespace gateswing::study
