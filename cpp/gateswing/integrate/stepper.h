// Advances a system by accepted steps: linearise, attempt, test the error, retry or accept.
#pragma once

#include <algorithm>
#include <cmath>
#include <limits>

#include "gateswing/integrate/error_norm.h"
#include "gateswing/integrate/first_step.h"
#include "gateswing/integrate/rosenbrock_step.h"
#include "gateswing/integrate/settings.h"
#include "gateswing/integrate/status.h"
#include "gateswing/integrate/step_control.h"

namespace gateswing::integrate {

/// Errors are judged by Settings; statistics count from construction.
template <class Tableau, class System>
class Stepper {
 public:
  using Vector = typename System::Vector;
  using Integrals = typename System::Integrals;

  /// `scale`: typical size of each state in its own unit, > 0.
  Stepper(const Vector& scale, const Settings& settings)
      : settings_(settings), scale_(scale), control_(Tableau::embedded_order) {
    validate(settings);
    require((scale.array() > 0.0).all() && scale.allFinite(), "Every state scale must be positive and finite.");
  }

  /// next_step [s]: 0 to have the first step estimated.
  void start(double time, const Vector& state, double next_step) {
    time_ = time;
    state_ = state;
    next_step_ = next_step > 0.0 ? next_step : settings_.initial_step;
    linearized_ = false;
    control_.restart();
  }

  /// Length [s] of the next step to try; the memory of the errors stays.
  void suggest(double next_step) { next_step_ = next_step; }

  /// One accepted step towards `end`, not past it. On any status but success, time and state are those before the call.
  Status advance(System& system, double end) {
    if (!linearized_) linearize(system);
    if (next_step_ <= 0.0) {
      next_step_ = first_step(step_, state_, scale_, settings_, Tableau::embedded_order, end - time_);
      ++statistics_.factorisations;
    }
    const double smallest = std::max(settings_.minimum_step, spacing());
    while (statistics_.steps + statistics_.rejections < settings_.maximum_steps) {
      const double wanted = std::max(smallest, std::min(next_step_, largest_step()));
      const double end_time = end_of_step(wanted, end);
      const Status status = attempt(system, end_time, wanted);
      if (status == Status::success || end_time - time_ <= smallest) return status;
    }
    return Status::step_limit;
  }

  /// One attempt of a step to end_time. Time and state move on success only; the linearization is kept for the next
  /// attempt otherwise. step_too_small says here that the error test asks for a shorter step. `wanted` [s]: the length
  /// before it was fitted to an end.
  Status attempt(System& system, double end_time, double wanted) {
    if (!linearized_) linearize(system);
    const double h = end_time - time_;
    // Close to the spacing of numbers h is rounded; a cut of the rounded length could be rounded back to it for ever.
    const double tried = std::min(h, wanted);
    const Attempt result = step_.attempt(system, h);
    ++statistics_.factorisations;
    statistics_.residual_evaluations += static_cast<long>(Tableau::stages) - 1;
    if (result != Attempt::computed) {
      next_step_ = control_.after_failure(tried);
      ++statistics_.rejections;
      return result == Attempt::singular ? Status::singular : Status::non_finite;
    }
    const double error = weighted_norm(Vector(step_.error()), state_, step_.end_state(), scale_, settings_);
    if (!(error <= 1.0)) {
      next_step_ = std::isfinite(error) ? control_.after_rejection(tried, error) : control_.after_failure(tried);
      ++statistics_.rejections;
      return Status::step_too_small;
    }
    accept(end_time, h, wanted, error);
    return Status::success;
  }

  double time() const { return time_; }
  const Vector& state() const { return state_; }
  double next_step() const { return next_step_; }
  const DenseStep<Vector>& last_step() const { return last_step_; }
  const Integrals& last_integrals() const { return step_.integrals(); }
  const Statistics& statistics() const { return statistics_; }

 private:
  void linearize(System& system) {
    step_.linearize(system, time_, state_);
    linearized_ = true;
    ++statistics_.linearizations;
    ++statistics_.residual_evaluations;
  }

  // The end is hit exactly: a step that would leave less than a little is stretched, one that would leave less than
  // its own length is halved, so that no sliver remains.
  double end_of_step(double wanted, double end) const {
    constexpr double stretch = 1.02;
    const double remaining = end - time_;
    if (remaining <= std::min(stretch * wanted, largest_step())) return end;
    return time_ + (remaining < 2.0 * wanted ? 0.5 * remaining : wanted);
  }

  double largest_step() const {
    return settings_.maximum_step > 0.0 ? settings_.maximum_step : std::numeric_limits<double>::infinity();
  }

  // Below this length the end of a step would not differ from its start.
  double spacing() const {
    constexpr double smallest = 1e-290;  // at time 0, where the floating-point spacing is finer than 1/h allows
    return std::max(smallest,
                    std::nextafter(std::abs(time_), std::numeric_limits<double>::infinity()) - std::abs(time_));
  }

  void accept(double end_time, double h, double wanted, double error) {
    const double proposed = control_.after_acceptance(h, error);
    // A step shortened to hit the end says nothing against the length wanted before; one shortened by rounding does.
    constexpr double shortened = 0.95;
    next_step_ = h < shortened * wanted ? std::max(proposed, wanted) : proposed;
    last_step_ = step_.dense(end_time);
    time_ = end_time;
    state_ = step_.end_state();
    linearized_ = false;
    ++statistics_.steps;
  }

  Settings settings_;
  Vector scale_;
  StepControl control_;
  RosenbrockStep<Tableau, System> step_;
  DenseStep<Vector> last_step_ = step_.dense(0.0);
  Statistics statistics_;
  double time_ = 0.0;
  double next_step_ = 0.0;
  Vector state_ = Vector::Zero();
  bool linearized_ = false;
};

}  // namespace gateswing::integrate
