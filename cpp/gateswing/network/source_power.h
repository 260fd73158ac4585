// Power integrands of resistors and sources, from linear forms of the state.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "gateswing/network/compiled_network.h"
#include "gateswing/network/conduction.h"

namespace gateswing::network {

/// Rows of linear forms on fixed-width storage: value = A x + input part, affine in time on one segment.
template <int N>
class FormRows {
 public:
  explicit FormRows(const std::vector<LinearForm>& forms)
      : states_(Eigen::Matrix<double, Eigen::Dynamic, N>::Zero(static_cast<Eigen::Index>(forms.size()), N)),
        inputs_(static_cast<Eigen::Index>(forms.size()), forms.empty() ? 0 : forms.front().inputs.size()),
        value_(Eigen::VectorXd::Zero(states_.rows())),
        slope_(value_) {
    for (Eigen::Index row = 0; row < states_.rows(); ++row) {
      const LinearForm& form = forms[static_cast<std::size_t>(row)];
      states_.row(row).head(form.states.size()) = form.states;
      inputs_.row(row) = form.inputs;
    }
  }

  void enter_segment(const Eigen::VectorXd& value, const Eigen::VectorXd& slope) {
    if (states_.rows() == 0) return;
    value_ = inputs_ * value;
    slope_ = inputs_ * slope;
  }

  template <class Vector>
  [[nodiscard]] double value(Eigen::Index row, const Vector& x, double elapsed) const {
    return states_.row(row).dot(x) + value_[row] + elapsed * slope_[row];
  }
  template <class Vector>
  [[nodiscard]] double change(Eigen::Index row, const Vector& direction, double time) const {
    return states_.row(row).dot(direction) + time * slope_[row];
  }
  [[nodiscard]] int count() const { return static_cast<int>(states_.rows()); }

 private:
  Eigen::Matrix<double, Eigen::Dynamic, N> states_;
  Eigen::MatrixXd inputs_;
  Eigen::VectorXd value_, slope_;
};

/// G v^2 of every resistor.
template <int N>
class ResistorPower {
 public:
  explicit ResistorPower(const std::vector<ResistorLoss>& resistors) : voltages_(forms(resistors)) {
    for (const ResistorLoss& resistor : resistors) conductance_.push_back(resistor.conductance);
  }

  void enter_segment(const Eigen::VectorXd& value, const Eigen::VectorXd& slope) {
    voltages_.enter_segment(value, slope);
  }

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

  FormRows<N> voltages_;
  std::vector<double> conductance_;
};

/// Power absorbed by every source, v i, and the charge it passes, without the current into capacitors.
template <int N>
class SourcePowers {
 public:
  explicit SourcePowers(const std::vector<SourcePower>& sources)
      : voltages_(forms(sources, true)), currents_(forms(sources, false)) {
    for (const SourcePower& source : sources) port_currents_.push_back(source.current.conducting_ports);
  }

  void enter_segment(const Eigen::VectorXd& value, const Eigen::VectorXd& slope) {
    voltages_.enter_segment(value, slope);
    currents_.enter_segment(value, slope);
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

  FormRows<N> voltages_, currents_;
  std::vector<std::vector<std::pair<PortIndex, double>>> port_currents_;
};

}  // namespace gateswing::network
