#include "gateswing/study/half_bridge_channels.h"

#include <string>

namespace gateswing::study {
namespace {

using network::current_probe;
using network::prefix;
using network::Probe;
using network::Side;
using network::voltage_probe;

constexpr std::size_t of_each_side = 15;

void add_diode_probes(const network::CompiledNetwork& network, Side side, const std::string& drain,
                      const std::string& suffix, std::vector<Probe>& probes) {
  const std::string name = prefix(side) + "anti-parallel";
  probes.push_back(current_probe(network, "i_diode" + suffix, name + " inductance"));
  probes.push_back(current_probe(network, "i_junction" + suffix, name + " diode"));
  probes.push_back(voltage_probe(network, "v_junction" + suffix, name + " anode", drain));
}

void add_absent_diode(const network::CompiledNetwork& network, const std::string& suffix, std::vector<Probe>& probes) {
  probes.push_back(absent_probe(network, "i_diode" + suffix, "A"));
  probes.push_back(absent_probe(network, "i_junction" + suffix, "A"));
  probes.push_back(absent_probe(network, "v_junction" + suffix, "V"));
}

void add_switch_probes(const network::CompiledNetwork& network, Side side, bool diode, std::vector<Probe>& probes) {
  const std::string of = prefix(side);
  const std::string suffix = side == Side::high ? "_high" : "_low";
  const std::string drain = side == Side::high ? "high drain" : "switch";
  const std::string reference = side == Side::high ? "switch" : "ground";
  probes.push_back(voltage_probe(network, "v_gs" + suffix, of + "gate_die", of + "source_die"));
  probes.push_back(voltage_probe(network, "v_gs_pin" + suffix, of + "gate", of + "source"));
  probes.push_back(voltage_probe(network, "v_ds" + suffix, of + "drain_die", of + "source_die"));
  probes.push_back(voltage_probe(network, "v_ds_pin" + suffix, drain, of + "source"));
  probes.push_back(current_probe(network, "i_d" + suffix, of + "drain lead inductance"));
  probes.push_back(current_probe(network, "i_channel" + suffix, of + "channel"));
  probes.push_back(current_probe(network, "i_gate" + suffix, of + "gate lead inductance"));
  probes.push_back(voltage_probe(network, "v_driver" + suffix, of + "driver output", reference));
  probes.push_back(driver_probe(network, "i_driver" + suffix, of));
  probes.push_back(body_probe(network, "i_body" + suffix, of));
  probes.push_back(current_probe(network, "i_body_diode" + suffix, of + "body diode"));
  probes.push_back(voltage_probe(network, "v_body_diode" + suffix, of + "source_die", of + "substrate"));
  if (diode) {
    add_diode_probes(network, side, drain, suffix, probes);
  } else {
    add_absent_diode(network, suffix, probes);
  }
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
  std::vector<Probe> probes{
      voltage_probe(network, "v_switch", "switch", "ground"),
      current_probe(network, "i_load", network::load_current_branch(cell.load)),
      voltage_probe(network, "v_bus", "bus", "ground"),
      cell.output ? voltage_probe(network, "v_output", "output", network::return_node(cell.load_return))
                  : absent_probe(network, "v_output", "V"),
      voltage_probe(network, "v_supply_high", "high driver supply", "switch"),
  };
  add_switch_probes(network, Side::high, cell.high.diode.has_value(), probes);
  add_switch_probes(network, Side::low, cell.low.diode.has_value(), probes);
  return probes;
}

}  // namespace gateswing::study
