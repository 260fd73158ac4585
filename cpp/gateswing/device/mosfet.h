// An N-channel power MOSFET in its package: the laws of its branches and its parasitic elements.
#pragma once

#include <optional>

#include "gateswing/device/capacitance.h"
#include "gateswing/device/junction_diode.h"
#include "gateswing/device/knee_conduction.h"
#include "gateswing/device/mosfet_channel.h"

namespace gateswing::device {

/// The parts only; how they are joined is the network's matter. 0 for a resistance or an inductance leaves it out.
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
  Real drift_resistance{};           ///< between channel and drain terminal [ohm], >= 0
  Real gate_inductance{};            ///< package, [H], >= 0
  Real drain_inductance{};           ///< package, [H], >= 0
  Real source_inductance{};          ///< package, common to gate and power loop, [H], >= 0
  JunctionDiode<Real> body_diode{};  ///< source to drain
  KneeConduction<Real> breakdown{};  ///< drain to source
};

}  // namespace gateswing::device
