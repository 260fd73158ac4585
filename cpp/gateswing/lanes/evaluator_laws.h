// The nonlinear currents and the energy integrands of evaluator.h, which includes this.
#pragma once

#include "gateswing/device/driver_output.h"
#include "gateswing/device/junction_diode.h"
#include "gateswing/device/knee_conduction.h"
#include "gateswing/device/mosfet_channel.h"
#include "gateswing/lanes/evaluator.h"

namespace gateswing::lanes {

template <class Real>
void Evaluator<Real>::evaluate_laws(const Real* v, const Real& elapsed, Real* i) const {
  const Layout& layout = plan_.layout;
  int index = 0;
  for (const auto& [gate_source, drain_source] : plan_.channels) {
    const auto channel = law<device::ChannelCoefficients>(layout.channel_laws, index++);
    i[drain_source] = device::channel_current(channel, v[gate_source], v[drain_source]);
  }
  index = 0;
  for (const auto& [port, charge] : plan_.diodes) {
    const auto diode = law<device::DiodeCoefficients>(layout.diode_laws, index++);
    if (charge < 0) {
      i[port] = device::diode_current(diode, v[port]);
      continue;
    }
    i[port] = device::recovery_current(diode, v[port], v[charge]);
    i[charge] = -i[port];
  }
  index = 0;
  for (const PortIndex port : plan_.knees)
    i[port] = device::knee_current(law<device::KneeCoefficients>(layout.knee_laws, index++), v[port]);
  index = 0;
  for (const auto& [upper, lower] : plan_.drivers) {
    const auto driver = law<device::DriverCoefficients>(layout.driver_laws, index);
    const Real on = at(layout.command_values)[index] + elapsed * at(layout.command_slopes)[index];
    ++index;
    const Real out = device::driver_current(driver, v[upper], v[lower], on);
    const Real share = device::source_share(driver, on);
    i[upper] = share * out;
    i[lower] = (share - Real(1.0)) * out;
  }
}

template <class Real>
void Evaluator<Real>::linearize_laws(const Real* v, const Real& elapsed, Real* i) {
  using device::seed;
  const Layout& layout = plan_.layout;
  Real* slope = at(layout.slopes);
  int index = 0;
  for (const auto& [gate_source, drain_source] : plan_.channels) {
    const auto channel = law<device::ChannelCoefficients>(layout.channel_laws, index++);
    const auto current = device::channel_current(channel, seed<2>(v[gate_source], 0), seed<2>(v[drain_source], 1));
    i[drain_source] = current.value;
    for (const Real& derivative : current.derivative) *slope++ = derivative;
  }
  index = 0;
  for (const auto& [port, charge] : plan_.diodes) {
    const auto diode = law<device::DiodeCoefficients>(layout.diode_laws, index++);
    if (charge < 0) {
      const auto current = device::diode_current(diode, seed<1>(v[port], 0));
      i[port] = current.value;
      *slope++ = current.derivative[0];
      continue;
    }
    const auto current = device::recovery_current(diode, seed<2>(v[port], 0), seed<2>(v[charge], 1));
    i[port] = current.value;
    i[charge] = -current.value;
    for (const Real& derivative : current.derivative) *slope++ = derivative;
    for (const Real& derivative : current.derivative) *slope++ = -derivative;
  }
  index = 0;
  for (const PortIndex port : plan_.knees) {
    const auto current =
        device::knee_current(law<device::KneeCoefficients>(layout.knee_laws, index++), seed<1>(v[port], 0));
    i[port] = current.value;
    *slope++ = current.derivative[0];
  }
  linearize_drivers(v, elapsed, i, slope);
}

template <class Real>
void Evaluator<Real>::linearize_drivers(const Real* v, const Real& elapsed, Real* i, Real* slope) {
  using device::seed;
  const Layout& layout = plan_.layout;
  int index = 0;
  for (const auto& [upper, lower] : plan_.drivers) {
    const auto driver = law<device::DriverCoefficients>(layout.driver_laws, index);
    const Real rate = at(layout.command_slopes)[index];
    const auto on = seed<3>(Real(at(layout.command_values)[index] + elapsed * rate), 2);
    ++index;
    const auto out = device::driver_current(driver, seed<3>(v[upper], 0), seed<3>(v[lower], 1), on);
    const auto take = [&](PortIndex port, const auto& current) {
      i[port] = current.value;
      *slope++ = current.derivative[0];
      *slope++ = current.derivative[1];
      at(layout.current_rates)[port] = rate * current.derivative[2];
    };
    const auto share = device::source_share(driver, on);
    take(upper, share * out);
    take(lower, (share - Real(1.0)) * out);
  }
}

/// Of the ports' voltages changing by those of `forms`, and the commands by `time`.
template <class Real>
void Evaluator<Real>::change_currents(const Real* forms, const Real& time, Real* change) const {
  const Real* const v = voltages(forms);
  const Real* const rate = at(plan_.layout.current_rates);
  const Real* slope = at(plan_.layout.slopes);
  for (const PortIndex port : plan_.conducting) change[port] = Real(0.0);
  for (const auto& [upper, lower] : plan_.drivers) {
    for (const PortIndex port : {upper, lower}) change[port] = time * rate[port];
  }
  for (const auto& [row, column] : plan_.slopes) change[row] = multiply_add(*slope++, v[column], change[row]);
}

template <class Real>
Real* Evaluator<Real>::add_device_powers(const Real* forms, const Real* currents, const Real& weight, Real* p) const {
  const Real* const v = voltages(forms);
  const auto add = [&](PortIndex port) {
    *p = multiply_add(weight, v[port] * currents[port], *p);
    ++p;
  };
  for (const Plan::Channel& channel : plan_.channels) add(channel.drain_source);
  for (const Plan::Diode& diode : plan_.diodes) add(diode.port);
  for (const PortIndex knee : plan_.knees) add(knee);
  for (const auto& [upper, lower] : plan_.drivers)
    *p++ += weight * (v[upper] * currents[upper] + v[lower] * currents[lower]);
  return p;
}

template <class Real>
void Evaluator<Real>::add_integrands(const Real* forms, const Real* currents, const Real* f, const Real& weight,
                                     Real* p) const {
  for (int row = 0; row < plan_.resistors; ++row) {
    const Real voltage = forms[resistor_voltages() + row];
    *p++ += weight * (at(plan_.layout.conductances)[row] * voltage * voltage);
  }
  p = add_device_powers(forms, currents, weight, p);
  const Real* source_weight = at(plan_.layout.source_weights);
  const PortIndex* port = plan_.source_ports.items.data();
  for (int source = 0; source < plan_.sources; ++source) {
    Real current = forms[source_currents() + source];
    const auto* const end = plan_.source_ports.items.data() + plan_.source_ports.past[static_cast<std::size_t>(source)];
    for (; port != end; ++port) current = multiply_add(*source_weight++, currents[*port], current);
    p[source] += weight * (forms[source_voltages() + source] * current);
    p[plan_.sources + source] += weight * current;
  }
  p += 2 * plan_.sources;
  for (int row = 0; row < plan_.variable_size; ++row) {
    p[row] += weight * f[row];
    p[plan_.variable_size + row] += weight * abs(forms[row]);
  }
}

template <class Real>
void Evaluator<Real>::add_integrand_tangent(const Real* direction, const Real& time, Real* dp) {
  const Layout& layout = plan_.layout;
  const Real* const base = at(layout.base_forms);
  const Real* const base_current = at(layout.base_currents);
  Real* const change = at(layout.forms);
  Real* const current_change = at(layout.currents);
  read_forms<false>(direction, time, change);
  change_currents(change, time, current_change);
  for (int row = 0; row < plan_.resistors; ++row) {
    const int form = resistor_voltages() + row;
    *dp++ += Real(2.0) * at(layout.conductances)[row] * base[form] * change[form];
  }
  dp = add_device_powers(base, current_change, Real(1.0), dp) - device_count();
  dp = add_device_powers(change, base_current, Real(1.0), dp);
  const Real* weight = at(layout.source_weights);
  const PortIndex* port = plan_.source_ports.items.data();
  for (int source = 0; source < plan_.sources; ++source) {
    Real current = base[source_currents() + source];
    Real moved = change[source_currents() + source];
    const auto* const end = plan_.source_ports.items.data() + plan_.source_ports.past[static_cast<std::size_t>(source)];
    for (; port != end; ++port) {
      current += *weight * base_current[*port];
      moved += *weight++ * current_change[*port];
    }
    dp[source] += base[source_voltages() + source] * moved + change[source_voltages() + source] * current;
    dp[plan_.sources + source] += moved;
  }
  dp += 2 * plan_.sources;
  Real* const df = at(layout.scratch);
  for (int row = 0; row < plan_.states; ++row) df[row] = change[row];
  take_currents(current_change, df);
  for (int row = 0; row < plan_.variable_size; ++row) {
    dp[row] += df[row];
    dp[plan_.variable_size + row] += select(base[row] < Real(0.0), Real(-change[row]), change[row]);
  }
}

}  // namespace gateswing::lanes
