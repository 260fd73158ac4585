// Port voltages and current stamps of a compiled network, as flat lists for the inner loop.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "gateswing/network/compiled_network.h"

namespace gateswing::network {

/// v = B x + source part, f -= B^T i, J -= B^T G B. The source part is affine in time on one segment of the inputs.
class FlatPorts {
 public:
  explicit FlatPorts(const std::vector<Port>& ports);

  /// Fixes the source part for the segments of the inputs valid from `time` [s].
  void enter_segment(std::span<const Segment> inputs, double time);

  [[nodiscard]] std::size_t size() const { return source_value_.size(); }

  /// Voltage of the port at state x, `elapsed` [s] after the segment's start.
  template <class Vector>
  [[nodiscard]] double voltage(PortIndex port, const Vector& x, double elapsed) const {
    double sum = source_value_[slot(port)] + elapsed * source_slope_[slot(port)];
    for (const PortTerm& term : terms(port)) sum += term.sign * x[term.index];
    return sum;
  }

  /// Change of the port voltage when the state moves by `direction` and time by `time`.
  template <class Vector>
  [[nodiscard]] double voltage_change(PortIndex port, const Vector& direction, double time) const {
    double sum = time * source_slope_[slot(port)];
    for (const PortTerm& term : terms(port)) sum += term.sign * direction[term.index];
    return sum;
  }

  template <class Vector>
  void take_current(PortIndex port, double current, Vector& f) const {
    for (const PortTerm& term : terms(port)) f[term.index] -= term.sign * current;
  }

  /// Stamps d(current of `row`)/d(voltage of `column`).
  template <class Matrix>
  void take_conductance(PortIndex row, PortIndex column, double conductance, Matrix& jacobian) const {
    for (const PortTerm& r : terms(row)) {
      for (const PortTerm& c : terms(column)) jacobian(r.index, c.index) -= r.sign * c.sign * conductance;
    }
  }

  /// Stamps a capacitance across the port into M.
  template <class Matrix>
  void add_capacitance(PortIndex port, double capacitance, Matrix& mass) const {
    take_conductance(port, port, -capacitance, mass);
  }

  [[nodiscard]] std::span<const PortTerm> terms(PortIndex port) const {
    const std::size_t first = first_term_[slot(port)];
    return {terms_.data() + first, first_term_[slot(port) + 1] - first};
  }

 private:
  static std::size_t slot(PortIndex port) { return static_cast<std::size_t>(port); }

  std::vector<PortTerm> terms_;
  std::vector<std::size_t> first_term_;
  std::vector<std::vector<PortTerm>> input_terms_;
  std::vector<double> source_value_;
  std::vector<double> source_slope_;
};

}  // namespace gateswing::network
