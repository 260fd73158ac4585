// Capacitances of a branch voltage, each with its exact charge and stored energy.
//
// For every law: capacitance(law, v) [F]; charge(law, v) [C], its integral from 0; stored_energy(law, v) [J], the
// integral of v C(v) from 0. Capacitances are positive and once continuously differentiable.
#pragma once

#include <cmath>

#include "gateswing/device/dual.h"
#include "gateswing/device/small_remainder.h"
#include "gateswing/device/smooth.h"

namespace gateswing::device {

/// The same at every voltage.
template <class Real = double>
struct ConstantCapacitance {
  Real capacitance{};  ///< [F], > 0
};

template <class T, class Real>
T capacitance(const ConstantCapacitance<Real>& law, const T&) {
  return T(law.capacitance);
}

template <class T, class Real>
T charge(const ConstantCapacitance<Real>& law, const T& voltage) {
  return law.capacitance * voltage;
}

template <class T, class Real>
T stored_energy(const ConstantCapacitance<Real>& law, const T& voltage) {
  return Real(0.5) * law.capacitance * voltage * voltage;
}

/// A depleting junction, v > 0 the blocking direction:
///
///   C = floor + zero_bias (1 + v/potential)^-grading                       v >= 0
///   C = floor + zero_bias + (ceiling - zero_bias) (1 - exp(k v))           v < 0,
///       k = zero_bias grading / (potential (ceiling - zero_bias)), so that the slope at 0 is the same from both sides
///
/// tends to `floor` for large v and to `floor + ceiling` in accumulation. The first line is the textbook step or graded
/// junction; the second is a smooth continuation without a source, its height to be taken from data.
template <class Real = double>
struct DepletionCapacitance {
  Real zero_bias{};  ///< depleting part at v = 0 [F], > 0
  Real potential{};  ///< junction potential [V], > 0
  Real grading{};    ///< exponent, 0 < grading < 1
  Real floor{};      ///< part that does not deplete [F], >= 0
  Real ceiling{};    ///< depleting part at large negative v [F], > zero_bias
};

/// k [1/V] of the accumulation side.
template <class Real>
Real accumulation_rate(const DepletionCapacitance<Real>& law) {
  return law.zero_bias * law.grading / (law.potential * (law.ceiling - law.zero_bias));
}

/// What the capacitance is computed with, worked out once for each part.
template <class Real = double>
struct DepletionCoefficients {
  Real zero_bias{};          ///< [F]
  Real inverse_potential{};  ///< [1/V]
  Real grading{};            ///< exponent
  Real floor{};              ///< [F]
  Real ceiling{};            ///< [F]
  Real rate{};               ///< k [1/V]
};

template <class Real>
DepletionCoefficients<Real> coefficients(const DepletionCapacitance<Real>& law) {
  return {law.zero_bias, Real(1) / law.potential, law.grading, law.floor, law.ceiling, accumulation_rate(law)};
}

template <class T, class Real>
T capacitance(const DepletionCoefficients<Real>& law, const T& voltage) {
  return by_chain_rule(
      [&law]<class S>(const S& v) -> S {
        using std::exp;
        using std::log;
        // One of the two terms of the exponent is always zero, so both sides share the exponential.
        const S base = Real(1) + positive_part(v) * law.inverse_potential;
        const S shape = exp(S(law.rate * negative_part(v) - law.grading * log(base)));
        const Real offset = select(v < Real(0), law.ceiling, Real(0));
        const Real weight = select(v < Real(0), Real(law.zero_bias - law.ceiling), law.zero_bias);
        return law.floor + offset + weight * shape;
      },
      voltage);
}

template <class T, class Real>
T capacitance(const DepletionCapacitance<Real>& law, const T& voltage) {
  return capacitance(coefficients(law), voltage);
}

// The integrals add the two sides, each taken over its own half of v: the side v is not on contributes zero.

template <class T, class Real>
T charge(const DepletionCapacitance<Real>& law, const T& voltage) {
  return by_chain_rule(
      [&law]<class S>(const S& v) -> S {
        using std::expm1;
        using std::log1p;
        const Real rest = Real(1) - law.grading;
        const S depletion = expm1(S(rest * log1p(S(positive_part(v) / law.potential)))) / rest;
        const S below = negative_part(v);
        const Real rate = accumulation_rate(law);
        const S accumulation = expm1(S(rate * below)) / rate;
        return law.floor * v + law.zero_bias * law.potential * depletion + law.ceiling * below -
               (law.ceiling - law.zero_bias) * accumulation;
      },
      voltage);
}

template <class T, class Real>
T stored_energy(const DepletionCapacitance<Real>& law, const T& voltage) {
  return by_chain_rule(
      [&law]<class S>(const S& v) -> S {
        using std::expm1;
        using std::log1p;
        // With l = ln(1 + v/potential) the integral is (e^((2-m)l) - 1)/(2-m) - (e^((1-m)l) - 1)/(1-m): both terms
        // begin with l, and on the other side y e^y - (e^y - 1) with y. Taken out beforehand, next to nothing cancels.
        const Real rest = Real(1) - law.grading;
        const S logarithm = log1p(S(positive_part(v) / law.potential));
        const S depletion = expm1_less_argument(S((Real(1) + rest) * logarithm)) / (Real(1) + rest) -
                            expm1_less_argument(S(rest * logarithm)) / rest;
        const S below = negative_part(v);
        const Real rate = accumulation_rate(law);
        const S exponent = rate * below;
        const S accumulation = (exponent * expm1(exponent) - expm1_less_argument(exponent)) / (rate * rate);
        return Real(0.5) * (law.floor * v * v + law.ceiling * below * below) +
               law.zero_bias * law.potential * law.potential * depletion - (law.ceiling - law.zero_bias) * accumulation;
      },
      voltage);
}

/// A smooth step: up, for the gate-source capacitance, which changes between accumulation and inversion; down, for the
/// depletion of superjunction columns:
///
///   C = low + (high - low)/2 (1 + z/sqrt(1 + z^2)),   z = (v - centre)/width
///
/// An empirical shape without a source, chosen for its elementary integrals; it reaches its end values as 1/z^2. With
/// z = sinh t at v, z0 = sinh t0 at 0, d = t - t0 and (z + z0)/(r + r0) = tanh((t + t0)/2), r = sqrt(1 + z^2), they are
///
///   charge = v (low + (high - low)/2 (1 + (z + z0)/(r + r0)))
///   energy = v charge/2 + (high - low)/4 width^2 (sinh d - d),   sinh d = z r0 - z0 r
///
/// neither a difference of large terms: the energy keeps its digits down to the smallest voltage.
template <class Real = double>
struct StepCapacitance {
  Real low{};     ///< at v far below centre [F], >= 0
  Real high{};    ///< at v far above centre [F], >= 0, not both zero
  Real centre{};  ///< [V], any sign
  Real width{};   ///< [V], > 0
};

/// What the capacitance is computed with, worked out once for each part.
template <class Real = double>
struct StepCoefficients {
  Real low{};            ///< [F]
  Real half_rise{};      ///< (high - low)/2 [F]
  Real centre{};         ///< [V]
  Real inverse_width{};  ///< [1/V]
};

template <class Real>
StepCoefficients<Real> coefficients(const StepCapacitance<Real>& law) {
  return {law.low, Real(0.5) * (law.high - law.low), law.centre, Real(1) / law.width};
}

template <class T, class Real>
T capacitance(const StepCoefficients<Real>& law, const T& voltage) {
  return by_chain_rule(
      [&law]<class S>(const S& v) -> S {
        using std::sqrt;
        const S z = (v - law.centre) * law.inverse_width;
        return law.low + law.half_rise * (Real(1) + z / sqrt(S(Real(1) + z * z)));
      },
      voltage);
}

template <class T, class Real>
T capacitance(const StepCapacitance<Real>& law, const T& voltage) {
  return capacitance(coefficients(law), voltage);
}

template <class T, class Real>
T charge(const StepCapacitance<Real>& law, const T& voltage) {
  return by_chain_rule(
      [&law]<class S>(const S& v) -> S {
        using std::sqrt;
        const S z = (v - law.centre) / law.width;
        const Real z0 = -law.centre / law.width;
        const S root = sqrt(S(Real(1) + z * z));
        const Real root0 = sqrt(Real(Real(1) + z0 * z0));
        // width (root - root0) = v (z + z0)/(root + root0), without the difference of two large roots.
        return v * (law.low + Real(0.5) * (law.high - law.low) * (Real(1) + (z + z0) / (root + root0)));
      },
      voltage);
}

template <class T, class Real>
T stored_energy(const StepCapacitance<Real>& law, const T& voltage) {
  return by_chain_rule(
      [&law]<class S>(const S& v) -> S {
        using std::sqrt;
        const S z = (v - law.centre) / law.width;
        const Real z0 = -law.centre / law.width;
        const S root = sqrt(S(Real(1) + z * z));
        const Real root0 = sqrt(Real(Real(1) + z0 * z0));
        // z root0 - z0 root, its factor z - z0 = v/width taken out.
        const S sinh_d = (v / law.width) * ((Real(1) + root * root0 - z * z0) / (root + root0));
        const Real half_step = Real(0.5) * (law.high - law.low);
        const S held = v * (law.low + half_step * (Real(1) + (z + z0) / (root + root0)));
        return Real(0.5) * (v * held + half_step * law.width * law.width * less_asinh(sinh_d));
      },
      voltage);
}

}  // namespace gateswing::device
