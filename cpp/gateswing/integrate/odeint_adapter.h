// The integrator behind the controlled-stepper and dense-output-stepper concepts of Boost.Odeint, for its integrate
// functions. Nothing of Odeint's arithmetic is used.
#pragma once

#include <boost/numeric/odeint/stepper/controlled_step_result.hpp>
#include <boost/numeric/odeint/stepper/stepper_categories.hpp>
#include <boost/numeric/odeint/util/odeint_error.hpp>
#include <boost/numeric/odeint/util/unwrap_reference.hpp>
#include <string>
#include <utility>

#include "gateswing/integrate/stepper.h"

namespace gateswing::integrate {

/// For a system as rosenbrock_step.h wants it; pass the system to Odeint by std::ref, or each call works on a copy.
/// Settings::initial_step and maximum_steps have no effect: Odeint brings the first step and counts the steps.
template <class Tableau, class System>
class OdeintControlledStepper {
 public:
  using state_type = typename System::Vector;
  using deriv_type = state_type;
  using value_type = double;
  using time_type = double;
  using order_type = unsigned short;
  using stepper_category = boost::numeric::odeint::controlled_stepper_tag;

  explicit OdeintControlledStepper(const state_type& scale, const Settings& settings = {})
      : stepper_(scale, settings) {}

  /// One attempt of length dt. On success x and t are advanced; dt becomes the next length to try either way.
  template <class SystemOrReference>
  boost::numeric::odeint::controlled_step_result try_step(SystemOrReference system, state_type& x, time_type& t,
                                                          time_type& dt) {
    typename boost::numeric::odeint::unwrap_reference<SystemOrReference>::type& unwrapped = system;
    if (!continues(x, t)) stepper_.start(t, x, dt);
    known_ = true;
    if (!(t + dt > t)) throw boost::numeric::odeint::step_adjustment_error(std::string(sentence(failure_)));
    const Status status = stepper_.attempt(unwrapped, t + dt, dt);
    dt = stepper_.next_step();
    if (status != Status::success) {
      failure_ = status;
      return boost::numeric::odeint::fail;
    }
    x = stepper_.state();
    t = stepper_.time();
    return boost::numeric::odeint::success;
  }

  const Statistics& statistics() const { return stepper_.statistics(); }

 private:
  // After a failure, and from step to step, the linearization and the controller's memory stay good.
  bool continues(const state_type& x, double t) const {
    return known_ && t == stepper_.time() && x == stepper_.state();
  }

  Stepper<Tableau, System> stepper_;
  Status failure_ = Status::step_too_small;
  bool known_ = false;
};

/// Likewise, with the state anywhere in the last step.
template <class Tableau, class System>
class OdeintDenseOutputStepper {
 public:
  using state_type = typename System::Vector;
  using deriv_type = state_type;
  using value_type = double;
  using time_type = double;
  using order_type = unsigned short;
  using stepper_category = boost::numeric::odeint::dense_output_stepper_tag;

  explicit OdeintDenseOutputStepper(const state_type& scale, const Settings& settings = {})
      : stepper_(scale, settings) {}

  /// Odeint calls this again before the last step, and after it with what is left to the end, nothing or a rounding
  /// error; the controller then keeps its memory.
  void initialize(const state_type& x0, time_type t0, time_type dt0) {
    if (known_ && t0 == stepper_.time() && x0 == stepper_.state()) {
      if (dt0 > 0.0) stepper_.suggest(dt0);
      return;
    }
    require(dt0 > 0.0, "The first step given to the stepper must be positive.");
    stepper_.start(t0, x0, dt0);
    known_ = true;
  }

  /// One accepted step; the times before and after it.
  template <class SystemOrReference>
  std::pair<time_type, time_type> do_step(SystemOrReference system) {
    typename boost::numeric::odeint::unwrap_reference<SystemOrReference>::type& unwrapped = system;
    const Status status = stepper_.advance(unwrapped, current_time() + current_time_step());
    if (status != Status::success) {
      throw boost::numeric::odeint::step_adjustment_error(std::string(sentence(status)));
    }
    return {previous_time(), current_time()};
  }

  /// State at a time t of the last step [s].
  void calc_state(time_type t, state_type& x) const { x = stepper_.last_step().value(stepper_.last_step().theta(t)); }

  const state_type& current_state() const { return stepper_.state(); }
  time_type current_time() const { return stepper_.time(); }
  time_type current_time_step() const { return stepper_.next_step(); }
  const state_type& previous_state() const { return stepper_.last_step().start_state; }
  time_type previous_time() const { return stepper_.last_step().start_time; }
  const Statistics& statistics() const { return stepper_.statistics(); }

 private:
  Stepper<Tableau, System> stepper_;
  bool known_ = false;
};

}  // namespace gateswing::integrate
