#include "gateswing/study/channels.h"

#include "gateswing/network/linear_form.h"

namespace gateswing::study {
namespace {

using network::current_probe;
using network::Probe;
using network::voltage_probe;

void add_freewheel_probes(const network::CompiledNetwork& network, bool present, std::vector<Probe>& probes) {
  probes.push_back(present ? current_probe(network, "i_junction", "freewheel diode")
                           : absent_probe(network, "i_junction", "A"));
  probes.push_back(present ? voltage_probe(network, "v_junction", "freewheel anode", "bus")
                           : absent_probe(network, "v_junction", "V"));
}

}  // namespace

Probe driver_probe(const network::CompiledNetwork& network, std::string name, const std::string& prefix) {
  Probe probe = current_probe(network, std::move(name), prefix + "driver.upper");
  network::add_scaled(probe.form, -1.0, current_probe(network, "", prefix + "driver.lower").form);
  return probe;
}

Probe body_probe(const network::CompiledNetwork& network, std::string name, const std::string& prefix) {
  Probe probe = current_probe(network, std::move(name), prefix + "breakdown");
  network::add_scaled(probe.form, -1.0, current_probe(network, "", prefix + "body diode").form);
  return probe;
}

Probe absent_probe(const network::CompiledNetwork& network, std::string name, std::string unit) {
  const auto inputs = static_cast<Eigen::Index>(network.inputs.size());
  return {std::move(name), std::move(unit), {network::zero_form(network.size(), inputs), {}, {}}};
}

std::vector<Probe> low_side_probes(const network::CompiledNetwork& network, const network::LowSideCell& cell) {
  const bool freewheel = cell.freewheel.has_value();
  std::vector<Probe> probes{voltage_probe(network, "v_gs", "gate_die", "source_die"),
                            voltage_probe(network, "v_gs_pin", "gate", "source"),
                            voltage_probe(network, "v_ds", "drain_die", "source_die"),
                            voltage_probe(network, "v_ds_pin", "drain", "source"),
                            current_probe(network, "i_d", "drain lead inductance"),
                            current_probe(network, "i_channel", "channel"),
                            current_probe(network, "i_gate", "gate lead inductance"),
                            voltage_probe(network, "v_driver", "driver output", "ground"),
                            current_probe(network, "i_load", network::load_current_branch(cell.load)),
                            freewheel ? current_probe(network, "i_freewheel", "freewheel inductance")
                                      : absent_probe(network, "i_freewheel", "A"),
                            voltage_probe(network, "v_bus", "bus", "ground"),
                            driver_probe(network, "i_driver", ""),
                            body_probe(network, "i_body", "")};
  add_freewheel_probes(network, freewheel, probes);
  return probes;
}

}  // namespace gateswing::study
