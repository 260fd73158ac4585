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

/// What the law computes with, worked out once for each part: of the second softplus all is known.
template <class Real = double>
struct KneeCoefficients {
  Real knee_voltage{};       ///< [V]
  Real conductance{};        ///< 1/R [S]
  Real knee_width{};         ///< [V]
  Real inverse_width{};      ///< [1/V]
  SoftplusEnd<Real> zero{};  ///< the second softplus
};

template <class Real>
KneeCoefficients<Real> coefficients(const KneeConduction<Real>& law) {
  const Real inverse_width = Real(1) / law.knee_width;
  return {law.knee_voltage, Real(1) / law.slope_resistance, law.knee_width, inverse_width,
          softplus_end(Real(-law.knee_voltage), inverse_width)};
}

/// Current [A] at the branch voltage [V].
template <class T, class Real>
T knee_current(const KneeCoefficients<Real>& law, const T& voltage) {
  return law.conductance *
         softplus_difference(T(voltage - law.knee_voltage), law.zero, law.knee_width, law.inverse_width);
}

template <class T, class Real>
T knee_current(const KneeConduction<Real>& law, const T& voltage) {
  return knee_current(coefficients(law), voltage);
}

}  // namespace gateswing::device
