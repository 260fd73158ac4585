#include "gateswing/study/double_pulse.h"

#include <cmath>
#include <stdexcept>
#include <vector>

#include "gateswing/network/cell_checks.h"
#include "gateswing/network/refusals.h"
#include "gateswing/study/channels.h"
#include "gateswing/study/switching_time.h"

namespace gateswing::study {
namespace {

double initial_current(const network::LowSideCell& cell, double requested) {
  const network::Load& load = cell.load;
  if (const auto held = held_current(load, requested)) return *held;
  if (load.inductance == 0.0) {
    if (requested != 0.0)
      network::refuse(requested, {}, "the current [A] before turn-on, of a load without inductance,", "left out or 0");
    return 0.0;
  }
  if (requested != 0.0) return requested;
  if (!cell.freewheel) return 0.0;
  if (load.resistance == 0.0)
    throw std::invalid_argument("a load without resistance [ohm] sets no current of its own: state the current [A]");
  return network::settled_current(load, cell.supply.voltage);
}

/// Across a load that freewheels [V], about.
double freewheel_voltage(const network::Load& load, double current) {
  constexpr double of_diode = 1.0;
  return load.resistance * std::abs(current) + network::opposing_voltage(load, current) + of_diode;
}

}  // namespace

PulsePlan plan_pulse(const network::LowSideCell& cell, const DoublePulseRequest& request, double mosfets) {
  network::require_valid(cell);
  const double look = look_at_edge(mosfets * switching_time_estimate(cell));
  return {initial_current(cell, request.current), time_or(request.on_time, look, "the on-time"),
          time_or(request.off_time, look, "the off-time")};
}

DoublePulse record_pulse(LowSideRun& run, const network::LowSideCell& cell, const PulsePlan& plan,
                         const simulate::Settings& settings) {
  const auto [current, on_time, off_time] = plan;
  const double end = on_time + off_time;
  run.set_command(network::gate_command(std::vector<network::Pulse>{{0.0, on_time}}, cell.driver.timing));
  TransientRun transient(run, -look_before(cell.load, current, freewheel_voltage(cell.load, current)), settings);
  transient.lead_in(0.0);
  transient.advance(on_time);
  transient.advance(end);
  DoublePulse result{transient.result(), no_figure, on_time, off_time};
  if (!result.succeeded()) return result;
  result.current = result.waveform.value(CellChannels::load_current, on_time);
  result.turn_on = turn_on_figures(result.waveform, {0.0, on_time});
  result.turn_off = turn_off_figures(result.waveform, {on_time, end});
  return result;
}

DoublePulse double_pulse(const network::LowSideCell& cell, const DoublePulseRequest& request,
                         const simulate::Settings& settings) {
  const PulsePlan plan = plan_pulse(cell, request);
  LowSideRun run(cell, plan.current);
  return record_pulse(run, cell, plan, settings);
}

}  // namespace gateswing::study
