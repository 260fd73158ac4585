// The channel of an N-channel power MOSFET, one smooth law from subthreshold to triode to saturation, both directions.
#pragma once

#include "gateswing/device/dual.h"
#include "gateswing/device/smooth.h"

namespace gateswing::device {

/// Parameters of the channel law
///
///   ov(v) = 2 w ln(1 + exp((v - V_th)/(2 w)))                                   smooth overdrive [V]
///   i     = K/2 (ov(v_gs)^2 - ov(v_gd)^2) / (1 + theta/2 (ov(v_gs) + ov(v_gd)))  v_gd = v_gs - v_ds
///
/// Limits: K/2 ov^2 in saturation and K ov v_ds in triode for theta = 0; exp(v_gs/w) below threshold, so one decade of
/// current per w ln 10 of gate voltage; slope approaching K/theta at large overdrive (mobility degradation).
/// Source: charge-sheet interpolation from weak to strong inversion of Enz, Krummenacher, Vittoz, Analog Integrated
/// Circuits and Signal Processing 8, 83-114 (1995), from memory. Not in it: channel-length modulation, self-heating.
template <class Real = double>
struct MosfetChannel {
  Real threshold_voltage{};        ///< V_th [V], any sign
  Real transconductance_factor{};  ///< K [A/V^2], > 0
  Real mobility_degradation{};     ///< theta [1/V], >= 0
  Real subthreshold_voltage{};     ///< w = n k T/q [V], > 0
};

/// What the law computes with, worked out once for each part.
template <class Real = double>
struct ChannelCoefficients {
  Real threshold_voltage{};  ///< V_th [V]
  Real half_factor{};        ///< K/2 [A/V^2]
  Real half_theta{};         ///< theta/2 [1/V]
  Real width{};              ///< 2 w [V]
  Real inverse_width{};      ///< [1/V]
};

template <class Real>
ChannelCoefficients<Real> coefficients(const MosfetChannel<Real>& law) {
  const Real width = Real(2) * law.subthreshold_voltage;
  return {law.threshold_voltage, Real(0.5) * law.transconductance_factor, Real(0.5) * law.mobility_degradation, width,
          Real(1) / width};
}

/// Smooth overdrive [V]: v - V_th well above threshold, 2 w exp((v - V_th)/(2 w)) well below.
template <class T, class Real>
T channel_overdrive(const ChannelCoefficients<Real>& law, const T& voltage) {
  return law.width * softplus(T((voltage - law.threshold_voltage) * law.inverse_width));
}

/// Drain current [A] at the gate-source and drain-source voltages [V] of the channel itself, behind all resistances.
/// Antisymmetric: i(v_gs, v_ds) = -i(v_gs - v_ds, -v_ds).
template <class T, class Real>
T channel_current(const ChannelCoefficients<Real>& law, const T& gate_source_voltage, const T& drain_source_voltage) {
  const T source_end = channel_overdrive(law, gate_source_voltage);
  const T drain_end = channel_overdrive(law, T(gate_source_voltage - drain_source_voltage));
  const T sum = source_end + drain_end;
  return law.half_factor * (source_end - drain_end) * sum / (Real(1) + law.half_theta * sum);
}

/// The same with its two partial slopes written out: the law is the costliest of the inner loop.
template <class Real, int N>
Dual<Real, N> channel_current(const ChannelCoefficients<Real>& law, const Dual<Real, N>& gate_source_voltage,
                              const Dual<Real, N>& drain_source_voltage) {
  using Slope = Dual<Real, 1>;
  const Real v_gs = gate_source_voltage.value;
  const Slope source_end = channel_overdrive(law, seed<1>(v_gs, 0));
  const Slope drain_end = channel_overdrive(law, seed<1>(Real(v_gs - drain_source_voltage.value), 0));
  const Real sum = source_end.value + drain_end.value;
  const Real mobility = Real(1) / (Real(1) + law.half_theta * sum);
  const Real product = mobility * (source_end.value - drain_end.value) * sum;  // i/(K/2)
  const Real degradation = Real(0.5) * law.half_theta * product;
  const Real scale = Real(2) * law.half_factor * mobility;
  const Real slope_gs = scale * (source_end.value - degradation) * source_end.derivative[0];
  const Real slope_gd = -scale * (drain_end.value + degradation) * drain_end.derivative[0];
  return chain(gate_source_voltage, drain_source_voltage, law.half_factor * product, slope_gs + slope_gd, -slope_gd);
}

template <class T, class Real>
T channel_overdrive(const MosfetChannel<Real>& law, const T& voltage) {
  return channel_overdrive(coefficients(law), voltage);
}

template <class T, class Real>
T channel_current(const MosfetChannel<Real>& law, const T& gate_source_voltage, const T& drain_source_voltage) {
  return channel_current(coefficients(law), gate_source_voltage, drain_source_voltage);
}

}  // namespace gateswing::device
