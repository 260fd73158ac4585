// Power integrands of resistors and sources, from linear forms of the state.
#pragma once

#include <span>
#include <vector>

#include "gateswing/network/compiled_network.h"
#include "gateswing/network/conduction.h"
#include "gateswing/network/sparse_forms.h"

namespace gateswing::network {

/// G v^2 of every resistor.
class ResistorPower {
 public:
  explicit ResistorPower(const std::vector<ResistorLoss>& resistors) : voltages_(forms(resistors)) {
    for (const ResistorLoss& resistor : resistors) conductance_.push_back(resistor.conductance);
  }

  void enter_segment(std::span<const Segment> inputs, double time) { voltages_.enter_segment(inputs, time); }

  template <class Vector, class Integrals>
  void powers(const Vector& x, double elapsed, Integrals& p) const {
    for (int row = 0; row < count(); ++row) {
      const double voltage = voltages_.value(row, x, elapsed);
      p[row] = conductance_[static_cast<std::size_t>(row)] * voltage * voltage;
    }
  }

  template <class Vector, class Integrals>
  void power_changes(const Vector& x, double elapsed, const Vector& direction, double time, Integrals& dp) const {
    for (int row = 0; row < count(); ++row) {
      dp[row] = 2.0 * conductance_[static_cast<std::size_t>(row)] * voltages_.value(row, x, elapsed) *
                voltages_.change(row, direction, time);
    }
  }

  [[nodiscard]] int count() const { return voltages_.count(); }

 private:
  static std::vector<LinearForm> forms(const std::vector<ResistorLoss>& resistors) {
    std::vector<LinearForm> result;
    for (const ResistorLoss& resistor : resistors) result.push_back(resistor.voltage);
    return result;
  }

  SparseForms voltages_;
  std::vector<double> conductance_;
};

/// Power absorbed by every source, v i, and the charge it passes, without the current into capacitors.
class SourcePowers {
 public:
  explicit SourcePowers(const std::vector<SourcePower>& sources)
      : voltages_(forms(sources, true)), currents_(forms(sources, false)) {
    for (const SourcePower& source : sources) port_currents_.push_back(source.current.conducting_ports);
  }

  void enter_segment(std::span<const Segment> inputs, double time) {
    voltages_.enter_segment(inputs, time);
    currents_.enter_segment(inputs, time);
  }

  template <class Vector>
  void powers(const Vector& x, double elapsed, const Conduction& conduction, double* watts, double* amperes) {
    for (int row = 0; row < count(); ++row) {
      amperes[row] = currents_.value(row, x, elapsed);
      for (const auto& [port, weight] : ports(row)) amperes[row] += weight * conduction.current(port);
      watts[row] = voltages_.value(row, x, elapsed) * amperes[row];
    }
  }

  /// Needs the tangent of `conduction` along the same direction, and its currents at the base point.
  template <class Vector>
  void power_changes(const Vector& x, double elapsed, const Vector& direction, double time,
                     const Conduction& conduction, double* watts, double* amperes) {
    for (int row = 0; row < count(); ++row) {
      double current = currents_.value(row, x, elapsed);
      amperes[row] = currents_.change(row, direction, time);
      for (const auto& [port, weight] : ports(row)) {
        current += weight * conduction.base_current(port);
        amperes[row] += weight * conduction.current_change(port);
      }
      watts[row] = voltages_.value(row, x, elapsed) * amperes[row] + voltages_.change(row, direction, time) * current;
    }
  }

  [[nodiscard]] int count() const { return voltages_.count(); }

 private:
  static std::vector<LinearForm> forms(const std::vector<SourcePower>& sources, bool voltages) {
    std::vector<LinearForm> result;
    for (const SourcePower& source : sources) result.push_back(voltages ? source.voltage : source.current.linear);
    return result;
  }
  [[nodiscard]] const std::vector<std::pair<PortIndex, double>>& ports(int row) const {
    return port_currents_[static_cast<std::size_t>(row)];
  }

  SparseForms voltages_, currents_;
  std::vector<std::vector<std::pair<PortIndex, double>>> port_currents_;
};

}  // namespace gateswing::network
