// The output stage of a gate driver: two switches that share one output, with drops and smooth current limits.
#pragma once

#include "gateswing/device/dual.h"
#include "gateswing/device/smooth.h"

namespace gateswing::device {

/// Output current for a command a in [0, 1] (0 sinks, 1 sources) and the voltages up = v_supply - v_out,
/// down = v_out - v_reference:
///
///   u = a up - (1 - a) down                       voltage that drives current out
///   d = a source_drop + (1 - a) sink_drop
///   s = width (softplus((u - d)/width) - softplus((-u - d)/width))     dead zone of +-d, exactly u for d = 0
///   w = that of the side that drives: at rest a; on the way 1 where u > 0 and 0 where u < 0
///   G = w/source_resistance + (1 - w)/sink_resistance
///   i = G s / sqrt(1 + (G s inverse_limit)^2) + leakage_conductance u     the limit of the direction of flow
///
/// In words: a resting output conducts through its own side either way; while its command moves it is a source whose
/// voltage moves from rail to rail behind the resistance of the side that conducts. Without that a pull-up of a
/// kilohm would rise through its transistor's ohm. With g(x) = smooth_step(x/take_over) and b = smooth_step(1/2 +
/// u/(2 width)), which is 1 where u > 0 and 0 where u < 0 but for the rounding,
///
///   w = b g(a) + (1 - b) (1 - g(1 - a))
///
/// The leakage stands for what conducts beside the drops and beyond the limits (bleed resistors, the slope of a
/// saturated transistor). Without it an output in its dead zone, or at its limit, in series with a gate inductance has
/// no voltage that any finite slope would tie down.
///
/// The supply terminal gives a i and the reference terminal (1 - a) i, so a cycle of steep edges draws the supply
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

/// Share of an edge over which the side that drives takes over from the one that rests.
inline constexpr double take_over = 0.02;

/// Weight of the source resistance for a command a, 1 - a and the voltage that drives current out.
template <class S, class Real>
S source_weight(const S& a, const S& rest, const S& drive, const Real& width) {
  const S outward = smooth_step(S(a / S(take_over)));
  const S inward = S(1) - smooth_step(S(rest / S(take_over)));
  return inward + smooth_step(S(S(0.5) + drive / (width + width))) * (outward - inward);
}

/// Current out of the output [A].
template <class T, class Real>
T driver_current(const DriverOutput<Real>& law, const T& up, const T& down, const T& command) {
  return by_chain_rule(
      [&law]<class S>(const S& v_up, const S& v_down, const S& a) -> S {
        const S rest = Real(1) - a;
        const S drive = a * v_up - rest * v_down;
        const S drop = a * law.source_drop + rest * law.sink_drop;
        const S passed = softplus_difference(S(drive - drop), S(-drive - drop), law.drop_width);
        const S weight = source_weight(a, rest, drive, law.drop_width);
        const S conductance = (weight * law.sink_resistance + (S(1) - weight) * law.source_resistance) /
                              (law.source_resistance * law.sink_resistance);
        const Real inverse_limit = select(passed < Real(0), law.inverse_sink_limit, law.inverse_source_limit);
        return bounded(S(conductance * passed), inverse_limit) + law.leakage_conductance * drive;
      },
      up, down, command);
}

}  // namespace gateswing::device
