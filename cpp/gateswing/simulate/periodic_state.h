// The periodic state of a switched circuit by damped Newton iteration on the map of one period.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "gateswing/simulate/period_correction.h"
#include "gateswing/simulate/period_map.h"

namespace gateswing::simulate {

struct PeriodicRequest {
  double tolerance = 0.0;               ///< largest correction accepted as periodic
  int maximum_periods = 2000;           ///< simulated at most, those for derivatives included
  double highest_temperature = 573.15;  ///< of a junction; beyond it the laws mean nothing [K]
};

enum class PeriodicOutcome {
  periodic,
  not_periodic,     ///< the periods allowed did not suffice
  unstable,         ///< a periodic state exists, but the circuit leaves it: it settles at a multiple of the period
  thermal_runaway,  ///< no junction temperature at which the cooling carries the heat, below the highest
  ringing           ///< a ring lasts from edge to edge, and each period meets it in another phase
};

struct PeriodicState {
  integrate::Status status = integrate::Status::success;
  PeriodicOutcome outcome = PeriodicOutcome::not_periodic;
  std::string message;              ///< empty where all is well
  PeriodStart start;                ///< the state found
  int periods = 0;                  ///< simulated, those for derivatives included
  std::vector<double> corrections;  ///< size of each Newton correction before damping, see PeriodCorrection
  double largest_multiplier = 0.0;  ///< of what is left of a deviation after a period, in modulus
  double thermal_gain = 0.0;        ///< loop gain R dP/dT at the state found; 0 without heated junctions
  std::size_t runaway = 0;          ///< in thermal runaway: the junction without a stable temperature, by its place
  integrate::Statistics statistics;
  std::optional<PeriodCorrection> correction;  ///< the last one, by which the distance of a further run can be judged
};

/// `requested`, or where that is 0: 1e-5, or ten times the relative tolerance of the integrator where that is more.
double chosen_tolerance(double requested, const Settings& settings);

/// Newton's method on the conditions of PeriodCorrection, after a few periods as they come (T. J. Aprille, T. N. Trick,
/// Proc. IEEE 60, 108-114 (1972), from memory, with products by differences in the place of the monodromy matrix).
///
/// A correction is halved until what the next run asks for is smaller by the natural monotonicity test (P. Deuflhard,
/// Newton Methods for Nonlinear Problems, section 3.3). Where a sixty-fourth of it does not pass, the circuit is
/// left to itself for some periods, each time twice as many, which is the pseudo-transient of a map. Found when a
/// correction, an estimate of the distance from the periodic state, is below the tolerance; it is then applied. A
/// junction that heats up, with a loop gain of 1 or more or its balance beyond the highest temperature, is led up in
/// steps of 50 K at most, and is in runaway when that takes it to the highest temperature, or when the state found has
/// such a gain. Where two marches did not help either, a ring that outlasts the time between edges is the reason.
PeriodicState find_periodic_state(const PeriodicCircuit& circuit, const PeriodicRequest& request,
                                  const Settings& settings);

}  // namespace gateswing::simulate
