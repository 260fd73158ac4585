// Nonlinear capacitors of a network: their part of M, and of the Jacobian of M(x) g.
#pragma once

#include <vector>

#include "gateswing/device/dual.h"
#include "gateswing/network/compiled_network.h"
#include "gateswing/network/flat_ports.h"

namespace gateswing::network {

class VariableCapacitance {
 public:
  explicit VariableCapacitance(const CompiledNetwork& network)
      : depletion_(prepared(network.depletion_capacitors)),
        step_(prepared(network.step_capacitors)),
        slopes_(depletion_.size() + step_.size(), 0.0) {}

  /// mass += C(x) of every nonlinear capacitor.
  template <class Vector, class Matrix>
  void add_mass(const FlatPorts& ports, const Vector& x, Matrix& mass) const {
    const auto add = [&](const auto& capacitors) {
      for (const auto& capacitor : capacitors) {
        const double voltage = ports.voltage(capacitor.port, x, 0.0);
        ports.add_capacitance(capacitor.port, device::capacitance(capacitor.law, voltage), mass);
      }
    };
    add(depletion_);
    add(step_);
  }

  /// As add_mass; keeps dC/dv for take_mass_slopes.
  template <class Vector, class Matrix>
  void linearize(const FlatPorts& ports, const Vector& x, Matrix& mass) {
    std::size_t s = 0;
    const auto add = [&](const auto& capacitors) {
      for (const auto& capacitor : capacitors) {
        const double voltage = ports.voltage(capacitor.port, x, 0.0);
        const auto value = device::capacitance(capacitor.law, device::seed<1>(voltage, 0));
        ports.add_capacitance(capacitor.port, value.value, mass);
        slopes_[s++] = value.derivative[0];
      }
    };
    add(depletion_);
    add(step_);
  }

  /// jacobian -= d(M(x) g)/dx with the rates g held fixed.
  template <class Vector, class Matrix>
  void take_mass_slopes(const FlatPorts& ports, const Vector& rates, Matrix& jacobian) const {
    std::size_t s = 0;
    const auto take = [&](const auto& capacitors) {
      for (const auto& capacitor : capacitors) {
        double rate = 0.0;
        for (const PortTerm& term : ports.terms(capacitor.port)) rate += term.sign * rates[term.index];
        ports.take_conductance(capacitor.port, capacitor.port, slopes_[s++] * rate, jacobian);
      }
    };
    take(depletion_);
    take(step_);
  }

 private:
  template <class Law>
  using Prepared = std::vector<CapacitorPort<decltype(device::coefficients(Law{}))>>;
  template <class Law>
  static Prepared<Law> prepared(const std::vector<CapacitorPort<Law>>& capacitors) {
    Prepared<Law> result;
    for (const auto& [law, port] : capacitors) result.push_back({device::coefficients(law), port});
    return result;
  }

  std::vector<CapacitorPort<device::DepletionCoefficients<>>> depletion_;
  std::vector<CapacitorPort<device::StepCoefficients<>>> step_;
  std::vector<double> slopes_;  ///< dC/dv at the last linearize [F/V]
};

}  // namespace gateswing::network
