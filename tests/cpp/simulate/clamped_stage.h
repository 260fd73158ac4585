// A switch as the textbooks' interval formulas assume it: constant capacitances, a straight transfer line, a constant
// load current and an ideal freewheel clamp. Built from the same laws as everything else, in a limit of theirs.
#pragma once

#include "gateswing/network/circuit.h"

namespace gateswing::simulate::test {

/// The channel law with mobility degradation theta -> infinity at K/theta = gm: the current is gm (v_gs - V_th) in
/// saturation and gm v_ds below it. At the theta and subthreshold width chosen it is so within 1e-7 V of gate voltage
/// from a few times the width above threshold.
inline device::MosfetChannel<> straight_channel(double threshold, double transconductance) {
  constexpr double theta = 2e7;  // [1/V]; the line is shifted by 2/theta
  return {threshold, transconductance * theta, theta, 1e-5};
}

struct ClampedStage {
  double bus = 100.0;              ///< at which the drain is clamped [V]
  double load = 20.0;              ///< [A]
  double threshold = 4.0;          ///< [V]
  double transconductance = 20.0;  ///< [S]
  double gate_source = 1.9e-9;     ///< [F]
  double gate_drain = 0.1e-9;      ///< [F]
  double drain_source = 0.0;       ///< with the clamp's own capacitance; 0 leaves it out [F]
  double drive = 12.0;             ///< gate rail while on [V]

  [[nodiscard]] double plateau() const { return threshold + load / transconductance; }
  [[nodiscard]] double on_voltage() const { return load / transconductance; }
  [[nodiscard]] double input_capacitance() const { return gate_source + gate_drain; }

  /// Nodes "gate" and "drain", branches "channel" and "load". Starts off with the load in the clamp, or on with a
  /// settled gate. What drives the gate is the caller's.
  [[nodiscard]] network::Circuit circuit(bool starts_on) const {
    using device::ConstantCapacitance;
    using network::Node;
    // The clamp conducts from its knee; 50 widths below it leak nothing.
    constexpr device::KneeConduction<> clamp{1e-4, 1e-7, 2e-6};
    network::Circuit result;
    const Node rail = result.node("rail");
    const Node drain = result.node("drain");
    const Node gate = result.node("gate");
    const double drain_start = starts_on ? on_voltage() : bus;
    const double gate_start = starts_on ? drive : 0.0;
    result.add_voltage_source("bus", rail, Node::ground, bus - clamp.knee_voltage);
    result.add_current_source("load", rail, drain, load);
    result.add_knee("clamp", drain, rail, clamp);
    result.add_capacitor("gate-source", gate, Node::ground, ConstantCapacitance<>{gate_source}, gate_start);
    result.add_capacitor("gate-drain", drain, gate, ConstantCapacitance<>{gate_drain}, drain_start - gate_start);
    if (drain_source > 0.0)
      result.add_capacitor("drain-source", drain, Node::ground, ConstantCapacitance<>{drain_source}, drain_start);
    result.add_channel("channel", gate, drain, Node::ground, straight_channel(threshold, transconductance));
    return result;
  }

  /// The same with the gate pulled to `rail` volts through `resistance` from t = 0.
  [[nodiscard]] network::Circuit driven(bool starts_on, double rail, double resistance) const {
    network::Circuit result = circuit(starts_on);
    const network::Node source = result.node("driver");
    result.add_voltage_source("driver", source, network::Node::ground, rail);
    result.add_resistor("gate resistor", source, result.node("gate"), resistance);
    return result;
  }
};

}  // namespace gateswing::simulate::test
