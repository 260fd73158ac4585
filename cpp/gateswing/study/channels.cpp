#include "gateswing/study/channels.h"

#include "gateswing/network/linear_form.h"

namespace gateswing::study {
namespace {

using network::current_probe;
using network::Probe;
using network::voltage_probe;

using Channel = CellChannels;
namespace names = network::names;

void add_freewheel_probes(const network::CompiledNetwork& network, bool present, std::vector<Probe>& probes) {
  const auto current = [&](const char* name, const std::string& branch) {
    return present ? current_probe(network, name, branch) : absent_probe(network, name, "A");
  };
  probes[Channel::freewheel_current] = current("i_freewheel", names::inductance_of(names::freewheel));
  probes[Channel::junction_current] = current("i_junction", names::diode_of(names::freewheel));
  probes[Channel::junction_voltage] =
      present ? voltage_probe(network, "v_junction", names::anode_of(names::freewheel), names::bus)
              : absent_probe(network, "v_junction", "V");
}

}  // namespace

Probe driver_probe(const network::CompiledNetwork& network, std::string name, const std::string& prefix) {
  Probe probe = current_probe(network, std::move(name), names::upper_of(prefix + names::driver));
  network::add_scaled(probe.form, -1.0, current_probe(network, "", names::lower_of(prefix + names::driver)).form);
  return probe;
}

Probe body_probe(const network::CompiledNetwork& network, std::string name, const std::string& prefix) {
  Probe probe = current_probe(network, std::move(name), prefix + names::breakdown);
  network::add_scaled(probe.form, -1.0, current_probe(network, "", prefix + names::body_diode).form);
  return probe;
}

Probe absent_probe(const network::CompiledNetwork& network, std::string name, std::string unit) {
  const auto inputs = static_cast<Eigen::Index>(network.inputs.size());
  return {std::move(name), std::move(unit), {network::zero_form(network.size(), inputs), {}, {}}};
}

std::vector<Probe> low_side_probes(const network::CompiledNetwork& network, const network::LowSideCell& cell) {
  const auto voltage = [&](const char* name, const char* plus, const char* minus) {
    return voltage_probe(network, name, plus, minus);
  };
  const auto current = [&](const char* name, const std::string& branch) {
    return current_probe(network, name, branch);
  };
  std::vector<Probe> probes(Channel::count);
  probes[Channel::gate_voltage] = voltage("v_gs", names::gate_die, names::source_die);
  probes[Channel::gate_voltage_pin] = voltage("v_gs_pin", names::gate, names::source);
  probes[Channel::drain_voltage] = voltage("v_ds", names::drain_die, names::source_die);
  probes[Channel::drain_voltage_pin] = voltage("v_ds_pin", names::drain, names::source);
  probes[Channel::drain_current] = current("i_d", names::inductance_of(names::drain_lead));
  probes[Channel::channel_current] = current("i_channel", names::channel);
  probes[Channel::gate_current] = current("i_gate", names::inductance_of(names::gate_lead));
  probes[Channel::driver_voltage] = voltage("v_driver", names::driver_output, names::ground);
  probes[Channel::driver_current] = driver_probe(network, "i_driver", "");
  probes[Channel::load_current] = current("i_load", network::load_current_branch(cell.load));
  probes[Channel::bus_voltage] = voltage("v_bus", names::bus, names::ground);
  probes[Channel::body_current] = body_probe(network, "i_body", "");
  add_freewheel_probes(network, cell.freewheel.has_value(), probes);
  return probes;
}

}  // namespace gateswing::study
