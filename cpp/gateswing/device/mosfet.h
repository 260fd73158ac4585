// An N-channel power MOSFET in its package: the laws of its branches and its parasitic elements.
#pragma once

#include <optional>

#include "gateswing/device/capacitance.h"
#include "gateswing/device/junction_diode.h"
#include "gateswing/device/knee_conduction.h"
#include "gateswing/device/mosfet_channel.h"

namespace gateswing::device {

/// The parts only; how they are joined is the network's matter. 0 for a resistance or an inductance leaves it out.
///
/// The drift resistance carries the channel's current, of either direction, and not that of the body diode. That diode
/// is a P-i-N rectifier whose i-region is the drift region: both kinds of carriers enter it, their density n exceeds
/// the doping and grows with the current density J, so that the voltage over a region of length 2 d,
///
///   n = tau J/(2 q d),   V_M = J 2 d/(q (mu_n + mu_p) n) = (2 d)^2/((mu_n + mu_p) tau),
///
/// does not depend on the current (recombination in the region, high-level injection; Baliga, Fundamentals of Power
/// Semiconductor Devices, chapter "P-i-N Rectifiers", from memory; derived again from charge control). With the two
/// junctions that makes an exponential whose slope lies between k T/q and 2 k T/q: the law of the body diode, through
/// the forward voltage of the whole part with its channel off. Limits: no voltage before the carriers are there
/// (forward recovery), wires and pins count as drift resistance, and while channel and diode share the current the
/// drift region is not modulated for the channel.
template <class Real = double>
struct Mosfet {
  MosfetChannel<Real> channel{};
  StepCapacitance<Real> gate_source{};        ///< of v_gs at the die
  DepletionCapacitance<Real> gate_drain{};    ///< of v_dg = v_drain - v_gate
  DepletionCapacitance<Real> drain_source{};  ///< of v_ds
  /// What a superjunction adds: a step down once its columns are depleted, in parallel to the laws above.
  std::optional<StepCapacitance<Real>> gate_drain_step;
  std::optional<StepCapacitance<Real>> drain_source_step;
  Real internal_gate_resistance{};   ///< [ohm], >= 0
  Real drift_resistance{};           ///< in series with the channel [ohm], >= 0
  Real gate_inductance{};            ///< package, [H], >= 0
  Real drain_inductance{};           ///< package, [H], >= 0
  Real source_inductance{};          ///< package, common to gate and power loop, [H], >= 0
  JunctionDiode<Real> body_diode{};  ///< source to drain, beside channel and drift resistance
  KneeConduction<Real> breakdown{};  ///< drain to source
};

}  // namespace gateswing::device
