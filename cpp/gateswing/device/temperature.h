// What the junction temperature does to the laws of a MOSFET and of a diode.
#pragma once

#include <cmath>

#include "gateswing/device/junction_diode.h"
#include "gateswing/device/mosfet.h"

namespace gateswing::device {

/// Temperatures in kelvin; T0 is the one at which a part's parameters were stated.
template <class Real = double>
struct Warming {
  Real stated{};    ///< T0 [K], > 0
  Real junction{};  ///< T [K], > 0

  [[nodiscard]] Real ratio() const { return junction / stated; }
  [[nodiscard]] Real rise() const { return junction - stated; }
};

/// Coefficients of
///
///   V_th(T) = V_th + threshold_slope (T - T0)        K(T) = K (T/T0)^-mobility_exponent
///   R_drift(T) = R_drift (T/T0)^drift_exponent       knee of the breakdown + breakdown_slope (T - T0)
///   w(T) = w T/T0                                    slope of the subthreshold region, from its definition n k T/q
///
/// The falling threshold raises the current, the falling mobility lowers it. For a square law they cancel at the
/// zero-temperature-coefficient point v_gs = V_th - 2 threshold_slope T0/mobility_exponent. Textbook forms (Baliga,
/// Fundamentals of Power Semiconductor Devices, from memory); valid from about -55 to 175 degrees Celsius.
template <class Real = double>
struct MosfetTemperature {
  Real threshold_slope{};    ///< [V/K], usually negative
  Real mobility_exponent{};  ///< [1], usually 1.5 to 2.5
  Real drift_exponent{};     ///< [1], usually 1.5 to 2.5
  Real breakdown_slope{};    ///< [V/K], usually positive
};

/// Coefficients of
///
///   I_s(T) = I_s (T/T0)^current_exponent exp(barrier_voltage/(n V_T0) (1 - T0/T)),   n V_T proportional to T
///   tau(T) = tau (T/T0)^lifetime_exponent
///
/// so that the forward voltage at a fixed current changes by (v - barrier_voltage - current_exponent n V_T0)/T0 per
/// kelvin at T0: about -1 to -2 mV/K. Shockley's law with the temperature of its carrier density (Sze, Physics of
/// Semiconductor Devices, from memory).
template <class Real = double>
struct DiodeTemperature {
  Real barrier_voltage{};    ///< band gap of a junction, barrier of a Schottky contact [V], >= 0
  Real current_exponent{};   ///< [1], about 3 for silicon junctions, 2 for Schottky contacts
  Real lifetime_exponent{};  ///< [1], about 1.5 to 2
};

template <class Real>
MosfetChannel<Real> at_temperature(MosfetChannel<Real> law, const MosfetTemperature<Real>& coefficients,
                                   const Warming<Real>& warming) {
  using std::pow;
  law.threshold_voltage += coefficients.threshold_slope * warming.rise();
  law.transconductance_factor *= pow(warming.ratio(), Real(-coefficients.mobility_exponent));
  law.subthreshold_voltage *= warming.ratio();
  return law;
}

template <class Real>
JunctionDiode<Real> at_temperature(JunctionDiode<Real> law, const DiodeTemperature<Real>& coefficients,
                                   const Warming<Real>& warming) {
  using std::exp;
  using std::pow;
  const Real activation = coefficients.barrier_voltage / law.emission_voltage * (Real(1) - Real(1) / warming.ratio());
  law.saturation_current *= pow(warming.ratio(), coefficients.current_exponent) * exp(activation);
  law.emission_voltage *= warming.ratio();
  law.lifetime *= pow(warming.ratio(), coefficients.lifetime_exponent);
  return law;
}

/// The whole MOSFET; its capacitances hardly depend on temperature and stay.
template <class Real>
Mosfet<Real> at_temperature(Mosfet<Real> mosfet, const MosfetTemperature<Real>& coefficients,
                            const DiodeTemperature<Real>& body_diode, const Warming<Real>& warming) {
  using std::pow;
  mosfet.channel = at_temperature(mosfet.channel, coefficients, warming);
  mosfet.body_diode = at_temperature(mosfet.body_diode, body_diode, warming);
  mosfet.drift_resistance *= pow(warming.ratio(), coefficients.drift_exponent);
  mosfet.breakdown.knee_voltage += coefficients.breakdown_slope * warming.rise();
  return mosfet;
}

}  // namespace gateswing::device
