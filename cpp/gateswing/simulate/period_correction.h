// The Newton correction of a period's begin, for electrical state and junction temperatures together.
#pragma once

#include <optional>

#include "gateswing/integrate/krylov_space.h"
#include "gateswing/simulate/period_map.h"

namespace gateswing::simulate {

/// The linearised conditions of a periodic state about one begin (x, T), with phi the map of a period and P the mean
/// powers into the junctions:
///
///   phi(x, T) - x = 0                       (n differential states)
///   T_a + R P(x, T) - T = 0                 (m junctions)
///
/// With D = (I - phi_x)^-1 phi_T, how the periodic state follows the temperatures, and the matrix of loop gains
/// G = R (P_T + P_x D) = R dP/dT, the correction is
///
///   dT = (I - G)^-1 (r_T + R P_x x_0),   dx = x_0 + D dT,   x_0 = (I - phi_x)^-1 r_x
///
/// Derivatives are differences over the frozen steps of the period's run. Resistive voltages follow the differential
/// states and are no unknowns. Every state is scaled by 1 V or 1 A plus its own size, a temperature by 1 K plus its
/// own.
class PeriodCorrection {
 public:
  struct Change {
    Eigen::VectorXd state;         ///< of the differential states
    Eigen::VectorXd temperatures;  ///< [K]
    double size = 0.0;             ///< largest scaled component
  };

  /// `end` is what map.run(start) gave, the last call of it. From `earlier`, a correction found at a start close by,
  /// the differences are taken over; only what they do not span is added.
  PeriodCorrection(PeriodMap& map, const PeriodStart& start, const PeriodEnd& end,
                   const PeriodCorrection* earlier = nullptr);

  /// False where a difference has no value; then only change_after() may be asked.
  [[nodiscard]] bool found() const { return change_.has_value(); }
  [[nodiscard]] const Change& change() const {
    return *change_;  // NOLINT(bugprone-unchecked-optional-access): found() says whether it may be asked
  }
  /// With the temperatures held.
  [[nodiscard]] Change electrical_change() const;

  /// What another run still asks for, by the same derivatives; what they do not span is taken as it is, as for
  /// states that a period extinguishes. Without derivatives: what the run changed.
  [[nodiscard]] Change change_after(const PeriodStart& start, const PeriodEnd& end) const;

  /// Largest real part of an eigenvalue of G, the loop gain R dP/dT of a single junction; 0 without junctions.
  [[nodiscard]] double thermal_gain() const { return thermal_gain_; }

  /// Largest modulus of the multipliers of the period at constant temperature, as far as the differences show it.
  [[nodiscard]] double largest_multiplier() const { return space_.spectral_radius(); }

  /// T_a + R P - T [K]: what the heat of a run asks for.
  [[nodiscard]] Eigen::VectorXd heating(const PeriodStart& start, const PeriodEnd& end) const;

 private:
  struct Column {
    Eigen::VectorXd state;
    Eigen::VectorXd heat;
  };

  std::optional<Eigen::VectorXd> product(PeriodMap& map, const PeriodStart& start, const PeriodEnd& end,
                                         const Eigen::VectorXd& direction) const;
  void forget(const PeriodMap& map);
  bool solve(PeriodMap& map, const PeriodStart& start, const PeriodEnd& end);
  /// By the temperature of a junction, the state at the begin held.
  std::optional<Column> slope(PeriodMap& map, const PeriodStart& start, const PeriodEnd& end,
                              Eigen::Index junction) const;
  bool add_temperature(PeriodMap& map, const PeriodStart& start, const PeriodEnd& end, Eigen::Index junction);
  [[nodiscard]] Column with_coefficients(const Eigen::VectorXd& coefficients) const;
  [[nodiscard]] Eigen::VectorXd scaled_defect(const PeriodStart& start, const PeriodEnd& end) const;
  [[nodiscard]] Change combine(const Column& electrical, const Eigen::VectorXd& heating) const;

  Eigen::Index size_;
  Eigen::VectorXd scale_;
  Eigen::VectorXd temperature_scale_;
  Eigen::VectorXd ambient_, resistance_;
  integrate::KrylovSpace space_;
  Eigen::MatrixXd following_;  ///< D, scaled rows
  Eigen::MatrixXd gain_;       ///< G
  double thermal_gain_ = 0.0;
  Column electrical_;
  std::optional<Change> change_;
};

}  // namespace gateswing::simulate
