#include "gateswing/network/conduction.h"

#include "gateswing/device/dual.h"

namespace gateswing::network {
namespace {

template <class Ports>
auto coefficients_of(const std::vector<Ports>& devices) {
  std::vector<decltype(device::coefficients(Ports{}.law))> result;
  for (const Ports& ports : devices) result.push_back(device::coefficients(ports.law));
  return result;
}

}  // namespace

Conduction::Conduction(const CompiledNetwork& network)
    : ports_(network.ports),
      channels_(network.channels),
      diodes_(network.diodes),
      knees_(network.knees),
      drivers_(network.drivers),
      channel_laws_(coefficients_of(network.channels)),
      diode_laws_(coefficients_of(network.diodes)),
      knee_laws_(coefficients_of(network.knees)),
      driver_laws_(coefficients_of(network.drivers)),
      commands_(network.inputs.size()) {
  list_devices();
  list_slopes();
  for (std::vector<double>* values :
       {&voltage_, &current_, &base_voltage_, &base_current_, &voltage_change_, &current_change_, &current_rate_}) {
    values->assign(ports_.size(), 0.0);
  }
}

void Conduction::list_devices() {
  for (const ChannelPorts& channel : channels_) {
    devices_.push_back({channel.drain_source, -1});
    active_ports_.push_back(channel.gate_source);
  }
  for (const DiodePort& diode : diodes_) devices_.push_back({diode.port, -1});
  for (const KneePort& knee : knees_) devices_.push_back({knee.port, -1});
  for (const DriverPorts& driver : drivers_) devices_.push_back({driver.upper, driver.lower});
  for (const Device& device : devices_) {
    conducting_ports_.push_back(device.first);
    if (device.second >= 0) conducting_ports_.push_back(device.second);
  }
  // The stored charge of a recovering diode is fed by the diode's current but carries no power of its own.
  for (const DiodePort& diode : diodes_) {
    if (diode.charge >= 0) conducting_ports_.push_back(diode.charge);
  }
  active_ports_.insert(active_ports_.end(), conducting_ports_.begin(), conducting_ports_.end());
}

/// Fixes the order in which linearize_laws fills the slopes.
void Conduction::list_slopes() {
  for (const ChannelPorts& channel : channels_) {
    slopes_.push_back({channel.drain_source, channel.gate_source, 0.0});
    slopes_.push_back({channel.drain_source, channel.drain_source, 0.0});
  }
  for (const DiodePort& diode : diodes_) {
    slopes_.push_back({diode.port, diode.port, 0.0});
    if (diode.charge < 0) continue;
    slopes_.push_back({diode.port, diode.charge, 0.0});
    slopes_.push_back({diode.charge, diode.port, 0.0});
    slopes_.push_back({diode.charge, diode.charge, 0.0});
  }
  for (const KneePort& knee : knees_) slopes_.push_back({knee.port, knee.port, 0.0});
  for (const DriverPorts& driver : drivers_) {
    for (const PortIndex row : {driver.upper, driver.lower}) {
      slopes_.push_back({row, driver.upper, 0.0});
      slopes_.push_back({row, driver.lower, 0.0});
    }
  }
}

void Conduction::enter_segment(std::span<const Segment> inputs, double time) {
  ports_.enter_segment(inputs, time);
  for (std::size_t input = 0; input < inputs.size(); ++input) {
    const Segment& segment = inputs[input];
    commands_[input] = {time, segment.value + segment.slope * (time - segment.start), segment.slope};
  }
}

void Conduction::evaluate_laws(double elapsed) {
  for (std::size_t k = 0; const ChannelPorts& channel : channels_) {
    const auto& law = channel_laws_[k++];
    current_[slot(channel.drain_source)] =
        device::channel_current(law, voltage_[slot(channel.gate_source)], voltage_[slot(channel.drain_source)]);
  }
  for (std::size_t k = 0; const DiodePort& diode : diodes_) {
    const auto& law = diode_laws_[k++];
    const double voltage = voltage_[slot(diode.port)];
    if (diode.charge < 0) {
      current_[slot(diode.port)] = device::diode_current(law, voltage);
      continue;
    }
    const double current = device::recovery_current(law, voltage, voltage_[slot(diode.charge)]);
    current_[slot(diode.port)] = current;
    current_[slot(diode.charge)] = -current;
  }
  for (std::size_t k = 0; const KneePort& knee : knees_) {
    const auto& law = knee_laws_[k++];
    current_[slot(knee.port)] = device::knee_current(law, voltage_[slot(knee.port)]);
  }
  for (std::size_t k = 0; const DriverPorts& driver : drivers_) {
    const auto& law = driver_laws_[k++];
    const double on = command(driver.command, elapsed);
    const double out = device::driver_current(law, voltage_[slot(driver.upper)], voltage_[slot(driver.lower)], on);
    const double share = device::source_share(law, on);
    current_[slot(driver.upper)] = share * out;
    current_[slot(driver.lower)] = (share - 1.0) * out;
  }
}

void Conduction::linearize_laws(double elapsed) {
  using device::Dual;
  using device::seed;
  std::size_t s = 0;
  for (std::size_t k = 0; const ChannelPorts& channel : channels_) {
    const auto& law = channel_laws_[k++];
    const Dual<double, 2> current = device::channel_current(law, seed<2>(voltage_[slot(channel.gate_source)], 0),
                                                            seed<2>(voltage_[slot(channel.drain_source)], 1));
    current_[slot(channel.drain_source)] = current.value;
    slopes_[s++].conductance = current.derivative[0];
    slopes_[s++].conductance = current.derivative[1];
  }
  for (std::size_t k = 0; const DiodePort& diode : diodes_) {
    const auto& law = diode_laws_[k++];
    const double voltage = voltage_[slot(diode.port)];
    if (diode.charge < 0) {
      const Dual<double, 1> current = device::diode_current(law, seed<1>(voltage, 0));
      current_[slot(diode.port)] = current.value;
      slopes_[s++].conductance = current.derivative[0];
      continue;
    }
    const Dual<double, 2> current =
        device::recovery_current(law, seed<2>(voltage, 0), seed<2>(voltage_[slot(diode.charge)], 1));
    current_[slot(diode.port)] = current.value;
    current_[slot(diode.charge)] = -current.value;
    for (const double sign : {1.0, -1.0}) {
      slopes_[s++].conductance = sign * current.derivative[0];
      slopes_[s++].conductance = sign * current.derivative[1];
    }
  }
  for (std::size_t k = 0; const KneePort& knee : knees_) {
    const auto& law = knee_laws_[k++];
    const Dual<double, 1> current = device::knee_current(law, seed<1>(voltage_[slot(knee.port)], 0));
    current_[slot(knee.port)] = current.value;
    slopes_[s++].conductance = current.derivative[0];
  }
  linearize_drivers(elapsed, s);
}

void Conduction::linearize_drivers(double elapsed, std::size_t slope) {
  using device::seed;
  for (std::size_t k = 0; const DriverPorts& driver : drivers_) {
    const auto& law = driver_laws_[k++];
    const device::Dual<double, 3> on = seed<3>(command(driver.command, elapsed), 2);
    const device::Dual<double, 3> out = device::driver_current(law, seed<3>(voltage_[slot(driver.upper)], 0),
                                                               seed<3>(voltage_[slot(driver.lower)], 1), on);
    const double rate = commands_[static_cast<std::size_t>(driver.command)].slope;
    const device::Dual<double, 3> share = device::source_share(law, on);
    for (const auto& [port, current] :
         {std::pair{driver.upper, share * out}, std::pair{driver.lower, (share - 1.0) * out}}) {
      current_[slot(port)] = current.value;
      slopes_[slope++].conductance = current.derivative[0];
      slopes_[slope++].conductance = current.derivative[1];
      current_rate_[slot(port)] = rate * current.derivative[2];
    }
  }
}

void Conduction::change_currents(double time) {
  for (const PortIndex port : conducting_ports_) current_change_[slot(port)] = time * current_rate_[slot(port)];
  for (const Slope& slope : slopes_) {
    current_change_[slot(slope.row)] += slope.conductance * voltage_change_[slot(slope.column)];
  }
}

void Conduction::powers(std::span<double> watts) const {
  for (std::size_t d = 0; d < devices_.size(); ++d) {
    const auto [first, second] = devices_[d];
    watts[d] = voltage_[slot(first)] * current_[slot(first)];
    if (second >= 0) watts[d] += voltage_[slot(second)] * current_[slot(second)];
  }
}

void Conduction::power_changes(std::span<double> watts) const {
  const auto change = [&](PortIndex port) {
    return base_voltage_[slot(port)] * current_change_[slot(port)] +
           voltage_change_[slot(port)] * base_current_[slot(port)];
  };
  for (std::size_t d = 0; d < devices_.size(); ++d) {
    watts[d] = change(devices_[d].first) + (devices_[d].second >= 0 ? change(devices_[d].second) : 0.0);
  }
}

}  // namespace gateswing::network
