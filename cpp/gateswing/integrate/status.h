// How an integration ended, and what it cost.
#pragma once

#include <string_view>

namespace gateswing::integrate {

enum class Status {
  success,         // the end time was reached
  step_limit,      // Settings::maximum_steps attempts were used up
  step_too_small,  // the error test asks for a step below the minimum, or below the spacing of numbers at this time
  non_finite,      // the model returned NaN or infinity however small the step
  singular,        // the step matrix M/(gamma h) - J stayed singular however small the step
  cancelled,       // the observer said so
};

// One plain sentence for a report or an exception text.
constexpr std::string_view sentence(Status status) {
  switch (status) {
    case Status::success:
      return "The integration reached its end time.";
    case Status::step_limit:
      return "The integration used up its allowed number of steps before the end time.";
    case Status::step_too_small:
      return "The integration needs smaller steps than the minimum step or the floating-point spacing of time allows.";
    case Status::non_finite:
      return "The model returned a value that is not finite, however small the step.";
    case Status::singular:
      return "The equations have no unique solution here: the step matrix is singular, however small the step.";
    case Status::cancelled:
      return "The integration was cancelled by its observer.";
  }
  return "Unknown status.";
}

// Work counters; they add up over segments.
struct Statistics {
  long steps = 0;                 // accepted
  long rejections = 0;            // failed error tests, non-finite stages and singular step matrices
  long residual_evaluations = 0;  // calls of System::residual
  long linearizations = 0;        // calls of System::linearize
  long factorisations = 0;        // of the step matrix or of the mass matrix

  constexpr Statistics& operator+=(const Statistics& other) {
    steps += other.steps;
    rejections += other.rejections;
    residual_evaluations += other.residual_evaluations;
    linearizations += other.linearizations;
    factorisations += other.factorisations;
    return *this;
  }
};

struct Outcome {
  Status status = Status::success;
  double time = 0.0;  // [s], of the last accepted state
  Statistics statistics;
};

}  // namespace gateswing::integrate
