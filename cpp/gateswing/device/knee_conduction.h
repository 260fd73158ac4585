// Conduction beyond a knee voltage: drain-source breakdown, steering diodes, clamps.
#pragma once

#include <cmath>

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
  Real off_voltage{};        ///< below it only the second softplus is left [V]
  Real off_current{};        ///< [A]
};

template <class Real>
KneeCoefficients<Real> coefficients(const KneeConduction<Real>& law) {
  using std::log1p;
  constexpr double off_widths = 40.0;  // exp(-40) is less than the rounding of 1
  const Real inverse_width = Real(1) / law.knee_width;
  const Real conductance = Real(1) / law.slope_resistance;
  const SoftplusEnd<Real> zero = softplus_end(Real(-law.knee_voltage), inverse_width);
  const Real off_voltage = law.knee_voltage - Real(off_widths) * law.knee_width;
  const Real reverse_current = conductance * (law.knee_width * log1p(Real(-zero.small * zero.inverse)) - zero.positive);
  // Next to nothing against a positive voltage would still be a source.
  const Real off_current = select(off_voltage > Real(0), Real(0), reverse_current);
  return {law.knee_voltage, conductance, law.knee_width, inverse_width, zero, off_voltage, off_current};
}

/// Current [A] at the branch voltage [V]. Far below the knee, where most of them are most of the time, without
/// exponential and logarithm.
template <class T, class Real>
T knee_current(const KneeCoefficients<Real>& law, const T& voltage) {
  const auto off = voltage < law.off_voltage;
  if (!any(!off)) return T(law.off_current);
  const T current =
      law.conductance * softplus_difference(T(voltage - law.knee_voltage), law.zero, law.knee_width, law.inverse_width);
  return select(off, T(law.off_current), current);
}

template <class T, class Real>
T knee_current(const KneeConduction<Real>& law, const T& voltage) {
  return knee_current(coefficients(law), voltage);
}

}  // namespace gateswing::device
