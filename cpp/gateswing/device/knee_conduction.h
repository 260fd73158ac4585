// Conduction beyond a knee voltage: drain-source breakdown, steering diodes, clamps.
#pragma once

#include "gateswing/device/dual.h"
#include "gateswing/device/smooth.h"

namespace gateswing::device {

/// Almost nothing below the knee, a resistance above it, rounded off between:
///
///   i = width/R (softplus((v - knee)/width) - softplus(-knee/width)),   softplus(x) = ln(1 + exp(x))
///
/// so i(0) = 0 and the slope rises from 0 to 1/R over a few widths. The usual piecewise-linear diode with its corner
/// smoothed; no source. Reverse current is bounded by width/R softplus(-knee/width).
template <class Real = double>
struct KneeConduction {
  Real knee_voltage{};      ///< [V], >= 0
  Real slope_resistance{};  ///< R [ohm], > 0
  Real knee_width{};        ///< [V], > 0
};

/// Current [A] at the branch voltage [V].
template <class T, class Real>
T knee_current(const KneeConduction<Real>& law, const T& voltage) {
  return softplus_difference(T(voltage - law.knee_voltage), Real(-law.knee_voltage), law.knee_width) /
         law.slope_resistance;
}

}  // namespace gateswing::device
