// The output stage of a gate driver: two switches that share one output, with drops and smooth current limits.
#pragma once

#include "gateswing/device/dual.h"
#include "gateswing/device/smooth.h"

namespace gateswing::device {

/// Output current for a command a in [0, 1] (0 sinks, 1 sources) and the voltages up = v_supply - v_out,
/// down = v_out - v_reference:
///
///   G = a/source_resistance + (1 - a)/sink_resistance
///   b = a/(source_resistance G)                   share of the supply's side in the output
///   u = b up - (1 - b) down                       voltage that drives current out
///   d = b source_drop + (1 - b) sink_drop
///   s = width (softplus((u - d)/width) - softplus((-u - d)/width))     dead zone of +-d, exactly u for d = 0
///   i = G s / sqrt(1 + (G s inverse_limit)^2) + leakage_conductance u     the limit of the direction of flow
///
/// Without drops and limits i = a up/source_resistance - (1 - a) down/sink_resistance: two conductances, of which one
/// goes as the other comes, seen from the output (Norton). So neither side lends its strength to the other: while a
/// strong sink lets go, a weak source gives what its own resistance gives. What would flow through both sides at once,
/// from supply to reference, is left out. i rises with u at every a, and is smooth in both.
///
/// The leakage stands for what conducts beside the drops and beyond the limits (bleed resistors, the slope of a
/// saturated transistor). Without it an output in its dead zone, or at its limit, in series with a gate inductance has
/// no voltage that any finite slope would tie down.
///
/// The supply terminal gives b i and the reference terminal (1 - b) i, so a cycle of steep edges draws the supply
/// voltage times the gate charge (less, by what flows during a slow ramp), and i u >= 0 always: the stage never makes
/// energy. A behavioural law without a source; no dependence of the limit on voltage, no output capacitance.
template <class Real = double>
struct DriverOutput {
  Real source_resistance{};     ///< [ohm], > 0
  Real sink_resistance{};       ///< [ohm], > 0
  Real inverse_source_limit{};  ///< 1/(largest current out) [1/A], >= 0; 0 means unlimited
  Real inverse_sink_limit{};    ///< 1/(largest current in) [1/A], >= 0; 0 means unlimited
  Real source_drop{};           ///< [V], >= 0
  Real sink_drop{};             ///< [V], >= 0
  Real drop_width{};            ///< rounding of the drops [V], > 0 even without drops
  Real leakage_conductance{};   ///< [S], >= 0
};

/// What the law computes with, worked out once for each driver.
template <class Real = double>
struct DriverCoefficients {
  Real source_conductance{};    ///< [S]
  Real sink_conductance{};      ///< [S]
  Real inverse_source_limit{};  ///< [1/A]
  Real inverse_sink_limit{};    ///< [1/A]
  Real source_drop{};           ///< [V]
  Real sink_drop{};             ///< [V]
  Real drop_width{};            ///< [V]
  Real inverse_width{};         ///< [1/V]
  Real leakage_conductance{};   ///< [S]
};

template <class Real>
DriverCoefficients<Real> coefficients(const DriverOutput<Real>& law) {
  return {Real(1) / law.source_resistance,
          Real(1) / law.sink_resistance,
          law.inverse_source_limit,
          law.inverse_sink_limit,
          law.source_drop,
          law.sink_drop,
          law.drop_width,
          Real(1) / law.drop_width,
          law.leakage_conductance};
}

/// b, the share of the current out of the output that the supply terminal gives.
template <class T, class Real>
T source_share(const DriverCoefficients<Real>& law, const T& command) {
  const T source = command * law.source_conductance;
  return source / (source + (Real(1) - command) * law.sink_conductance);
}

/// s of the law above. Where nothing drops that is u itself, without exponentials and logarithm.
template <class S, class Real>
S past_drops(const DriverCoefficients<Real>& law, const S& drive, const S& share) {
  const auto drops = law.source_drop + law.sink_drop > Real(0);
  if (!any(drops)) return drive;
  const S drop = share * law.source_drop + (Real(1) - share) * law.sink_drop;
  const S passed = softplus_difference(S(drive - drop), S(-drive - drop), law.drop_width, law.inverse_width);
  return select(drops, passed, drive);
}

/// Current out of the output [A].
template <class T, class Real>
T driver_current(const DriverCoefficients<Real>& law, const T& up, const T& down, const T& command) {
  return by_chain_rule(
      [&law]<class S>(const S& v_up, const S& v_down, const S& a) -> S {
        const S source = a * law.source_conductance;
        const S conductance = source + (Real(1) - a) * law.sink_conductance;
        const S share = source / conductance;
        const S drive = share * v_up - (Real(1) - share) * v_down;
        const S passed = past_drops(law, drive, share);
        const Real inverse_limit = select(passed < Real(0), law.inverse_sink_limit, law.inverse_source_limit);
        return bounded(S(conductance * passed), inverse_limit) + law.leakage_conductance * drive;
      },
      up, down, command);
}

template <class T, class Real>
T driver_current(const DriverOutput<Real>& law, const T& up, const T& down, const T& command) {
  return driver_current(coefficients(law), up, down, command);
}

}  // namespace gateswing::device
