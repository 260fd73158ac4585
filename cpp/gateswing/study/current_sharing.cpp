#include "gateswing/study/current_sharing.h"

#include <string>

#include "gateswing/measure/crossing.h"
#include "gateswing/measure/extrema.h"
#include "gateswing/measure/integral.h"
#include "gateswing/study/channels.h"
#include "gateswing/study/low_side_run.h"

namespace gateswing::study {
namespace {

using measure::Window;
namespace names = network::names;

/// Where the waveform holds what one MOSFET does.
struct MosfetChannels {
  std::size_t gate_voltage, drain_voltage, drain_current, channel_current;
};

constexpr std::size_t channels_each = 4;

MosfetChannels channels_of(std::size_t number) {
  if (number == 0)
    return {CellChannels::gate_voltage, CellChannels::drain_voltage, CellChannels::drain_current,
            CellChannels::channel_current};
  const std::size_t first = CellChannels::count + (number - 1) * channels_each;
  return {first, first + 1, first + 2, first + 3};
}

std::vector<network::Probe> probes(const network::CompiledNetwork& network, const network::ParallelCell& cell) {
  std::vector<network::Probe> result = low_side_probes(network, cell.cell);
  for (std::size_t k = 1; k <= cell.further.size(); ++k) {
    const std::string prefix = network::mosfet_prefix(k);
    const std::string number = "_" + std::to_string(k + 1);
    result.push_back(
        network::voltage_probe(network, "v_gs" + number, prefix + names::gate_die, prefix + names::source_die));
    result.push_back(
        network::voltage_probe(network, "v_ds" + number, prefix + names::drain_die, prefix + names::source_die));
    result.push_back(network::current_probe(network, "i_d" + number, names::inductance_of(prefix + names::drain_lead)));
    result.push_back(network::current_probe(network, "i_channel" + number, prefix + names::channel));
  }
  return result;
}

SharedFigures figures(const waveform::Waveform& waveform, const MosfetChannels& channels, Window on, Window off) {
  SharedFigures result;
  result.on_current = waveform.value(channels.drain_current, on.end);
  result.peak_turn_on_current = measure::maximum(waveform, channels.drain_current, on).value;
  result.peak_turn_off_current = measure::maximum(waveform, channels.drain_current, off).value;
  const auto heat = [&](Window window) {
    return measure::integral_of_product(waveform, channels.drain_voltage, channels.channel_current, window);
  };
  result.turn_on_energy = heat(on);
  result.turn_off_energy = heat(off);
  const double half = 0.5 * result.on_current;
  const auto rise = measure::first_crossing(waveform, channels.channel_current, half, measure::Direction::rising, on);
  const auto fall = measure::last_crossing(waveform, channels.channel_current, half, measure::Direction::falling, off);
  if (rise) result.turn_on_time = *rise - on.begin;
  if (fall) result.turn_off_time = *fall - off.begin;
  return result;
}

}  // namespace

CurrentSharing current_sharing(const network::ParallelCell& cell, const DoublePulseRequest& request,
                               const simulate::Settings& settings) {
  const auto count = static_cast<double>(cell.further.size() + 1);
  const PulsePlan plan = plan_pulse(cell.cell, request, count);
  LowSideRun run(network::build(cell, plan.current),
                 [&](const network::CompiledNetwork& network) { return probes(network, cell); });
  CurrentSharing result{.pulse = record_pulse(run, cell.cell, plan, settings), .mosfets = {}};
  if (!result.pulse.succeeded()) return result;
  const Window on{0.0, plan.on_time};
  const Window off{plan.on_time, plan.on_time + plan.off_time};
  for (std::size_t k = 0; k <= cell.further.size(); ++k) {
    result.mosfets.push_back(figures(result.pulse.waveform, channels_of(k), on, off));
  }
  return result;
}

}  // namespace gateswing::study
