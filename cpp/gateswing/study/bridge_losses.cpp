#include "gateswing/study/bridge_losses.h"

#include <string>
#include <string_view>

#include "gateswing/measure/common_part.h"
#include "gateswing/measure/duration.h"
#include "gateswing/measure/integral.h"
#include "gateswing/study/half_bridge_channels.h"

namespace gateswing::study {
namespace {

using measure::Window;
using network::Side;
using waveform::Waveform;

namespace names = network::names;

constexpr double on_level = 0.1;  // of the bus, as in IEC 60747-8

/// The parts of a window in which v_DS is at or above a level.
std::vector<Window> stretches_above(const Waveform& waveform, std::size_t channel, double level, Window window) {
  std::vector<Window> stretches;
  double begin = window.begin;
  for (const Window& below : measure::stretches_below(waveform, channel, level, window)) {
    if (below.begin > begin) stretches.push_back({begin, below.begin});
    begin = below.end;
  }
  if (window.end > begin) stretches.push_back({begin, window.end});
  return stretches;
}

/// The channel of one side over its cycle.
class ChannelHeat {
 public:
  ChannelHeat(const BridgeRecord& record, Side side)
      : waveform_(record.waveform),
        of_(channels_of(side)),
        other_(channels_of(network::opposite(side))),
        level_(on_level * record.bus_voltage),
        cycle_(record.at(side)) {}

  void add_rows(const std::string& element, std::vector<CauseEnergy>& rows) const {
    const Window whole{cycle_.on, cycle_.end};
    const Window on{cycle_.on, cycle_.off};
    const double shoot_through = passing_both(whole);
    const double conduction = below(whole);
    const double switching = heat(whole) - shoot_through - conduction;
    rows.push_back({LossCause::shoot_through, element, shoot_through});
    rows.push_back({LossCause::conduction, element, conduction});
    const std::vector<Window> above = stretches_above(waveform_, of_.drain_voltage, level_, on);
    if (cycle_.off > cycle_.on && above.size() == 1 && above.front().length() == on.length()) {
      rows.push_back({LossCause::incomplete_switching, element, switching});
      return;
    }
    const double turn_on = add_turn_on(above, element, rows);
    rows.push_back({LossCause::turn_off, element, switching - turn_on});
  }

 private:
  [[nodiscard]] double heat(Window window) const { return product(of_.channel_current, window); }
  [[nodiscard]] double product(std::size_t current, Window window) const {
    return measure::integral_of_product(waveform_, of_.drain_voltage, current, window);
  }
  [[nodiscard]] double passing_both(Window window) const {
    return measure::common_part_of_product(waveform_, of_.channel_current, other_.channel_current, of_.drain_voltage,
                                           window);
  }

  /// Heat of the on-state, less what passes both channels.
  [[nodiscard]] double below(Window window) const {
    double sum = 0.0;
    for (const Window& stretch : measure::stretches_below(waveform_, of_.drain_voltage, level_, window))
      sum += heat(stretch) - passing_both(stretch);
    return sum;
  }

  /// v_DS of this side times the current into the capacitances at a side's drain [J].
  [[nodiscard]] double charging(const SwitchChannels& side, Window window) const {
    const auto of = [&](std::size_t current) { return product(current, window); };
    return of(side.drain_current) - of(side.channel_current) - of(side.body_current) - of(side.diode_current) +
           of(side.junction_current);
  }

  /// Returns the sum of its rows.
  double add_turn_on(const std::vector<Window>& above, const std::string& element,
                     std::vector<CauseEnergy>& rows) const {
    double total = 0.0;
    double capacitance = 0.0;
    double recovery = 0.0;
    for (const Window& stretch : above) {
      total += heat(stretch) - passing_both(stretch);
      capacitance += charging(other_, stretch) - charging(of_, stretch);
      recovery -= backward_product(waveform_, of_.drain_voltage, other_.body_diode_current, stretch) +
                  backward_product(waveform_, of_.drain_voltage, other_.junction_current, stretch);
    }
    rows.push_back({LossCause::turn_on, element, total - capacitance - recovery});
    rows.push_back({LossCause::output_capacitance, element, capacitance});
    rows.push_back({LossCause::recovery, element, recovery});
    return total;
  }

  const Waveform& waveform_;
  SwitchChannels of_;
  SwitchChannels other_;
  double level_;
  SideCycle cycle_;
};

/// False for an element that does not belong to the side, or has one cause.
bool add_sides_element(const BridgeRecord& record, Side side, const std::string& element,
                       std::vector<CauseEnergy>& rows) {
  const std::string of = network::prefix(side);
  const SwitchChannels channels = channels_of(side);
  const Window cycle{record.at(side).on, record.at(side).end};
  if (element == of + names::channel) {
    ChannelHeat(record, side).add_rows(element, rows);
  } else if (element == of + names::body_diode) {
    add_junction(record.waveform, channels.body_diode_voltage, channels.body_diode_current, cycle,
                 LossCause::reverse_conduction, element, rows);
  } else if (element == names::diode_of(of + names::anti_parallel)) {
    add_junction(record.waveform, channels.junction_voltage, channels.junction_current, cycle,
                 LossCause::freewheel_conduction, element, rows);
  } else {
    return false;
  }
  return true;
}

/// The element's name without that of its side.
std::string_view without_side(std::string_view element) {
  for (const Side side : {Side::high, Side::low}) {
    const std::string of = network::prefix(side);
    if (element.starts_with(of)) return element.substr(of.size());
  }
  return element;
}

}  // namespace

bool is_useful(std::string_view element, bool has_output) {
  return has_output ? element == names::output_resistor : network::belongs_to_load(element);
}

std::vector<CauseEnergy> bridge_losses(const BridgeRecord& record, std::span<const network::EnergyEntry> ledger) {
  std::vector<CauseEnergy> rows;
  for (const network::EnergyEntry& entry : ledger) {
    if (entry.kind != network::EnergyKind::dissipated || is_useful(entry.element, record.has_output)) continue;
    if (add_sides_element(record, Side::high, entry.element, rows)) continue;
    if (add_sides_element(record, Side::low, entry.element, rows)) continue;
    rows.push_back({cause_of(without_side(entry.element)), entry.element, entry.energy});
  }
  return rows;
}

}  // namespace gateswing::study
