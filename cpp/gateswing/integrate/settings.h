// What a caller may ask of the integrator.
#pragma once

#include <cmath>
#include <limits>
#include <stdexcept>

namespace gateswing::integrate {

// A step is accepted when every state i has |error_i| <= absolute_tolerance scale_i + relative_tolerance |x_i|, with
// scale_i the caller's typical size of that state in its own unit.
struct Settings {
  double relative_tolerance = 1e-6;  // [1], 1e-12 <= value < 1
  double absolute_tolerance = 1e-6;  // [1], factor on the scale vector, > 0
  double initial_step = 0.0;         // [s], 0: estimated from the derivatives at the start
  double minimum_step = 0.0;         // [s], 0: only the floating-point spacing of time limits
  double maximum_step = 0.0;         // [s], 0: unlimited
  long maximum_steps = 1'000'000;    // attempts, accepted or not, in one call of integrate
};

inline void require(bool condition, const char* sentence) {
  if (!condition) throw std::invalid_argument(sentence);
}

inline void validate(const Settings& settings) {
  constexpr double smallest_relative = 1e-14;
  const auto non_negative = [](double value) { return value >= 0.0 && std::isfinite(value); };
  require(settings.relative_tolerance >= smallest_relative && settings.relative_tolerance < 1.0,
          "The relative tolerance must lie between 1e-14 and 1.");
  require(settings.absolute_tolerance > 0.0 && std::isfinite(settings.absolute_tolerance),
          "The absolute tolerance must be positive and finite.");
  require(non_negative(settings.initial_step), "The initial step must be zero or positive, and finite.");
  require(non_negative(settings.minimum_step), "The minimum step must be zero or positive, and finite.");
  require(non_negative(settings.maximum_step), "The maximum step must be zero or positive, and finite.");
  require(settings.maximum_step == 0.0 || settings.maximum_step >= settings.minimum_step,
          "The maximum step must not be smaller than the minimum step.");
  require(settings.maximum_steps > 0, "The maximum number of steps must be positive.");
}

// The step size a caller carries from one call of integrate to the next. Leave it to continue a smooth trajectory;
// restart() where the right-hand side has a corner, so that the next call estimates a safe first step itself.
struct StepMemory {
  double next_step = 0.0;  // [s], 0: none known

  void restart() { next_step = 0.0; }
};

}  // namespace gateswing::integrate
