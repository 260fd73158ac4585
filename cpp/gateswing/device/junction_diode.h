// A junction diode: exponential forward law, and charge-control reverse recovery with one state.
#pragma once

#include "gateswing/device/dual.h"
#include "gateswing/device/smooth.h"

namespace gateswing::device {

/// Parameters of the static law and of its recovery
///
///   i0(v) = I_s (exp(v/(n V_T)) - 1), the exponential continued by its tangent above exp(50)
///   i     = ((tau + TM) i0(v) - tau y)/TM        y = q_M/tau [A], the stored charge over the lifetime
///   tau dy/dt = i - y                            held by the caller
///
/// In rest y = i = i0(v). After a forward current the diode carries reverse current until y is used up, then the
/// current dies with 1/tau_rr = 1/tau + 1/TM. Source: Lauritzen and Ma, IEEE Transactions on Power Electronics 6(2),
/// 188-191 (1991); equations from memory and re-derived. Limits: no forward recovery, no high-level injection, no
/// temperature.
template <class Real = double>
struct JunctionDiode {
  Real saturation_current{};  ///< I_s [A], >= 0
  Real emission_voltage{};    ///< n k T/q [V], > 0
  Real transit_time{};        ///< TM [s], >= 0; 0 means no recovery and no state
  Real lifetime{};            ///< tau [s], > 0 where transit_time > 0
};

/// What the law computes with, worked out once for each part.
template <class Real = double>
struct DiodeCoefficients {
  Real saturation_current{};        ///< [A]
  Real inverse_emission_voltage{};  ///< [1/V]
  Real recovery_ratio{};            ///< tau/TM; no number without recovery, where nothing reads it
};

template <class Real>
DiodeCoefficients<Real> coefficients(const JunctionDiode<Real>& law) {
  return {law.saturation_current, Real(1) / law.emission_voltage, law.lifetime / law.transit_time};
}

/// Static current [A] at the junction voltage [V].
template <class T, class Real>
T diode_current(const DiodeCoefficients<Real>& law, const T& voltage) {
  return by_chain_rule(
      [&law]<class S>(const S& v) -> S {
        return law.saturation_current * (limited_exp(S(v * law.inverse_emission_voltage)) - Real(1));
      },
      voltage);
}

/// Current [A] at the junction voltage [V] and the stored-charge current y [A]. Requires transit_time > 0.
template <class T, class Real>
T recovery_current(const DiodeCoefficients<Real>& law, const T& voltage, const T& stored_charge_current) {
  return (law.recovery_ratio + Real(1)) * diode_current(law, voltage) - law.recovery_ratio * stored_charge_current;
}

template <class T, class Real>
T diode_current(const JunctionDiode<Real>& law, const T& voltage) {
  return diode_current(coefficients(law), voltage);
}

template <class T, class Real>
T recovery_current(const JunctionDiode<Real>& law, const T& voltage, const T& stored_charge_current) {
  return recovery_current(coefficients(law), voltage, stored_charge_current);
}

/// The saturation current [A] with which a diode behind a series resistance [ohm] drops forward_voltage [V] at
/// forward_current [A]. Requires forward_voltage > forward_current * series_resistance.
template <class Real>
Real saturation_current_for(const Real& forward_voltage, const Real& forward_current, const Real& series_resistance,
                            const Real& emission_voltage) {
  const Real junction_voltage = forward_voltage - forward_current * series_resistance;
  return forward_current / (limited_exp(Real(junction_voltage / emission_voltage)) - Real(1));
}

}  // namespace gateswing::device
