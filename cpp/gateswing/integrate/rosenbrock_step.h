// One attempt of a Rosenbrock step on fixed-size storage.
//
// A system S describes M(x) x' = f(x, t) by
//   S::Real (double), S::size, S::quadratures (0 allowed), S::Vector, S::Matrix, S::Integrals;
//   linearize(t, x, mass, jacobian, time_derivative): M(x), d/dx [f - M(x) g] with g = M(x)^-1 f held fixed, df/dt;
//   residual(t, x, r, p): r = M0 M(x)^-1 f(x, t) on differential rows, with M0 the mass matrix of the last linearize,
//   and
//     f(x, t) on algebraic rows (zero rows of M); simply f where M is constant. p = integrands of the quadratures;
//   integrand_tangent(direction, time): p_x direction + p_t time, at the last linearize (only where quadratures > 0);
//   base_residual(r, p), optional: what residual gives at the point of the last linearize, called right after it.
#pragma once

#include <Eigen/Core>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>

#include "gateswing/integrate/dense_output.h"
#include "gateswing/integrate/small_lu.h"
#include "gateswing/integrate/tableau.h"
#include "gateswing/integrate/weighted_sum.h"

namespace gateswing::integrate {

enum class Attempt { computed, non_finite, singular };

template <class Tableau, class System>
class RosenbrockStep {
 public:
  using Vector = typename System::Vector;
  using Matrix = typename System::Matrix;
  using Integrals = typename System::Integrals;

  RosenbrockStep() { u_.fill(Vector::Zero()); }

  /// Everything that depends on (t, x) only, and is kept when the step is retried with another length.
  void linearize(System& system, double t, const Vector& x) {
    time_ = t;
    start_ = x;
    system.linearize(t, x, mass_, jacobian_, time_derivative_);
    if constexpr (requires { system.base_residual(start_residual_, start_integrand_); }) {
      system.base_residual(start_residual_, start_integrand_);
    } else {
      system.residual(t, x, start_residual_, start_integrand_);
    }
  }

  /// Computes end state, error and integrals of a step of length h [s].
  Attempt attempt(System& system, double h) {
    step_ = h;
    lu_.compute(Matrix(mass_ * (1.0 / (Tableau::gamma * h)) - jacobian_));
    if (lu_.singular()) return Attempt::singular;
    if (!lu_.finite()) return Attempt::non_finite;
    if (!all_stages(system, std::make_index_sequence<Tableau::stages>{})) return Attempt::non_finite;
    if constexpr (continues_last_stage()) {
      end_ = stage_state_ + u_.back();
    } else {
      end_ = plus_weighted<SolutionWeights>(start_, u_);
    }
    if constexpr (System::quadratures > 0) {
      const Vector direction = h * weighted_sum<QuadratureWeights>(u_);
      integrals_ = h * integrals_ + system.integrand_tangent(direction, h * h * quadrature_time_weight<Tableau>());
      if (!integrals_.allFinite()) return Attempt::non_finite;
    }
    return end_.allFinite() ? Attempt::computed : Attempt::non_finite;
  }

  const Vector& end_state() const { return end_; }
  Vector error() const { return weighted_sum<ErrorWeights>(u_); }
  const Integrals& integrals() const { return integrals_; }

  const Vector& start_residual() const { return start_residual_; }
  const Matrix& mass() const { return mass_; }
  const Matrix& jacobian() const { return jacobian_; }
  const Vector& time_derivative() const { return time_derivative_; }

  DenseStep<Vector> dense(double end_time) const {
    return {time_,
            end_time,
            start_,
            end_,
            {weighted_sum<DenseWeights<0>>(u_), weighted_sum<DenseWeights<1>>(u_), weighted_sum<DenseWeights<2>>(u_)}};
  }

 private:
  using Weights = Row<Tableau::stages>;
  template <std::size_t i>
  struct StageWeights {
    static constexpr Weights values = Tableau::a[i];
  };
  template <std::size_t i>
  struct CouplingWeights {
    static constexpr Weights values = Tableau::k[i];
  };
  template <std::size_t l>
  struct DenseWeights {
    static constexpr Weights values = Tableau::dense[l];
  };
  struct SolutionWeights {
    static constexpr Weights values = Tableau::b;
  };
  struct ErrorWeights {
    static constexpr Weights values = Tableau::error;
  };
  struct QuadratureWeights {
    static constexpr Weights values = quadrature_weights<Tableau>();
  };

  // True where `next` is `row` with one more weight of exactly 1 at `last`: that state is the previous one plus u.
  static constexpr bool continues(const Weights& row, const Weights& next, std::size_t last) {
    for (std::size_t j = 0; j < last; ++j) {
      if (row[j] != next[j]) return false;
    }
    return next[last] == 1.0;
  }
  template <std::size_t i>
  static constexpr bool continues_stage() {
    return i > 1 && continues(Tableau::a[i - 1], Tableau::a[i], i - 1);
  }
  static constexpr bool continues_last_stage() {
    return continues(Tableau::a[Tableau::stages - 1], Tableau::b, Tableau::stages - 1);
  }

  template <std::size_t... i>
  bool all_stages(System& system, std::index_sequence<i...>) {
    return (stage<i>(system) && ...);
  }

  // Stops at the first value that is not finite, so that the system is never asked about such a state.
  template <std::size_t i>
  bool stage(System& system) {
    Vector right;
    if constexpr (i == 0) {
      right = start_residual_;
      integrals_ = QuadratureWeights::values[0] * start_integrand_;
    } else {
      if constexpr (continues_stage<i>()) {
        stage_state_ += u_[i - 1];
      } else {
        stage_state_ = plus_weighted<StageWeights<i>>(start_, u_);
      }
      Integrals integrand;
      system.residual(time_ + Tableau::c[i] * step_, stage_state_, right, integrand);
      integrals_ += QuadratureWeights::values[i] * integrand;
      const Vector coupling = (1.0 / step_) * weighted_sum<CouplingWeights<i>>(u_);
      right.noalias() += mass_ * coupling;
    }
    if constexpr (Tableau::d[i] != 0.0) right += (step_ * Tableau::d[i]) * time_derivative_;
    u_[i] = lu_.solve(right);
    return std::isfinite(u_[i].sum());
  }

  double time_ = 0.0;
  double step_ = 0.0;
  Vector start_ = Vector::Zero(), end_ = Vector::Zero(), stage_state_ = Vector::Zero();
  Vector start_residual_ = Vector::Zero(), time_derivative_ = Vector::Zero();
  Integrals start_integrand_ = Integrals::Zero(), integrals_ = Integrals::Zero();
  Matrix mass_ = Matrix::Zero(), jacobian_ = Matrix::Zero();
  SmallLu<Vector> lu_;
  std::array<Vector, Tableau::stages> u_;
};

}  // namespace gateswing::integrate
