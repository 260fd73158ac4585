#include "gateswing/study/half_bridge_channels.h"

#include <string>

namespace gateswing::study {
namespace {

namespace names = network::names;
using network::current_probe;
using network::prefix;
using network::Probe;
using network::Side;
using network::voltage_probe;

constexpr std::size_t of_each_side = 15;

void add_diode_probes(const network::CompiledNetwork& network, Side side, bool present, const std::string& suffix,
                      std::vector<Probe>& probes) {
  const std::string part = prefix(side) + names::anti_parallel;
  const SwitchChannels of = channels_of(side);
  const auto current = [&](const std::string& name, const std::string& branch) {
    return present ? current_probe(network, name + suffix, branch) : absent_probe(network, name + suffix, "A");
  };
  probes[of.diode_current] = current("i_diode", names::inductance_of(part));
  probes[of.junction_current] = current("i_junction", names::diode_of(part));
  probes[of.junction_voltage] =
      present ? voltage_probe(network, "v_junction" + suffix, names::anode_of(part), network::drain_node(side))
              : absent_probe(network, "v_junction" + suffix, "V");
}

void add_switch_probes(const network::CompiledNetwork& network, Side side, bool diode, std::vector<Probe>& probes) {
  const std::string part = prefix(side);
  const std::string suffix = side == Side::high ? "_high" : "_low";
  const SwitchChannels of = channels_of(side);
  const auto voltage = [&](const char* name, const std::string& plus, const std::string& minus) {
    return voltage_probe(network, name + suffix, plus, minus);
  };
  const auto current = [&](const char* name, const std::string& branch) {
    return current_probe(network, name + suffix, branch);
  };
  const std::string source = part + names::source;
  const std::string source_die = part + names::source_die;
  probes[of.gate_voltage] = voltage("v_gs", part + names::gate_die, source_die);
  probes[of.gate_voltage_pin] = voltage("v_gs_pin", part + names::gate, source);
  probes[of.drain_voltage] = voltage("v_ds", part + names::drain_die, source_die);
  probes[of.drain_voltage_pin] = voltage("v_ds_pin", network::drain_node(side), source);
  probes[of.drain_current] = current("i_d", names::inductance_of(part + names::drain_lead));
  probes[of.channel_current] = current("i_channel", part + names::channel);
  probes[of.gate_current] = current("i_gate", names::inductance_of(part + names::gate_lead));
  probes[of.driver_voltage] = voltage("v_driver", part + names::driver_output, network::reference_node(side));
  probes[of.driver_current] = driver_probe(network, "i_driver" + suffix, part);
  probes[of.body_current] = body_probe(network, "i_body" + suffix, part);
  probes[of.body_diode_current] = current("i_body_diode", part + names::body_diode);
  probes[of.body_diode_voltage] = voltage("v_body_diode", source_die, part + names::substrate);
  add_diode_probes(network, side, diode, suffix, probes);
}

}  // namespace

SwitchChannels channels_of(Side side) {
  std::size_t next = BridgeChannels::count + (side == Side::high ? 0 : of_each_side);
  return {.gate_voltage = next++,
          .gate_voltage_pin = next++,
          .drain_voltage = next++,
          .drain_voltage_pin = next++,
          .drain_current = next++,
          .channel_current = next++,
          .gate_current = next++,
          .driver_voltage = next++,
          .driver_current = next++,
          .body_current = next++,
          .body_diode_current = next++,
          .body_diode_voltage = next++,
          .diode_current = next++,
          .junction_current = next++,
          .junction_voltage = next++};
}

EdgeChannels edge_channels(Side side) {
  const SwitchChannels of = channels_of(side);
  return {.gate_voltage = of.gate_voltage,
          .gate_voltage_pin = of.gate_voltage_pin,
          .drain_voltage = of.drain_voltage,
          .drain_voltage_pin = of.drain_voltage_pin,
          .drain_current = of.drain_current,
          .channel_current = of.channel_current,
          .gate_current = of.gate_current,
          .driver_current = of.driver_current,
          .bus_voltage = BridgeChannels::bus_voltage,
          .load_current = BridgeChannels::load_current,
          .load_sign = side == Side::high ? 1.0 : -1.0};
}

std::vector<Probe> half_bridge_probes(const network::CompiledNetwork& network, const network::HalfBridgeCell& cell) {
  using Channel = BridgeChannels;
  std::vector<Probe> probes(Channel::count + 2 * of_each_side);
  probes[Channel::switch_voltage] = voltage_probe(network, "v_switch", names::switch_node, names::ground);
  probes[Channel::load_current] = current_probe(network, "i_load", network::load_current_branch(cell.load));
  probes[Channel::bus_voltage] = voltage_probe(network, "v_bus", names::bus, names::ground);
  probes[Channel::output_voltage] =
      cell.output ? voltage_probe(network, "v_output", names::output, network::return_node(cell.load_return))
                  : absent_probe(network, "v_output", "V");
  probes[Channel::high_supply_voltage] =
      voltage_probe(network, "v_supply_high", prefix(Side::high) + names::driver_supply, names::switch_node);
  add_switch_probes(network, Side::high, cell.high.diode.has_value(), probes);
  add_switch_probes(network, Side::low, cell.low.diode.has_value(), probes);
  return probes;
}

}  // namespace gateswing::study
