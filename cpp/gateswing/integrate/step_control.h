// Chooses the next step length from the size of the last errors.
#pragma once

#include <algorithm>
#include <cmath>

namespace gateswing::integrate {

// Predictive control: K. Gustafsson, ACM Trans. Math. Softw. 20, 496-517 (1994), as in Hairer and Wanner II, section
// IV.8:
//   h_new = safety h min( err^(-1/q), (h/h_old) err_old^(1/q) err^(-2/q) ), q = embedded order + 1,
// where err <= 1 is an accepted step. No growth right after a rejection.
class StepControl {
 public:
  explicit StepControl(int embedded_order) : exponent_(1.0 / (embedded_order + 1)) {}

  void restart() {
    previous_step_ = 0.0;
    just_rejected_ = false;
  }

  double after_acceptance(double step, double error) {
    const double size = std::max(error, smallest_error);
    double factor = safety * std::pow(size, -exponent_);
    if (previous_step_ > 0.0) {
      factor = std::min(factor, factor * (step / previous_step_) * std::pow(previous_error_ / size, exponent_));
    }
    factor = std::clamp(factor, largest_cut, just_rejected_ ? 1.0 : largest_growth);
    previous_step_ = step;
    previous_error_ = std::max(size, smallest_remembered_error);
    just_rejected_ = false;
    return step * factor;
  }

  double after_rejection(double step, double error) {
    just_rejected_ = true;
    return step * std::clamp(safety * std::pow(error, -exponent_), largest_cut, safety);
  }

  // The model gave no number or the step matrix was singular, so there is no error to go by.
  double after_failure(double step) {
    just_rejected_ = true;
    return step * failure_cut;
  }

 private:
  static constexpr double safety = 0.9;
  static constexpr double largest_cut = 1.0 / 6.0;
  static constexpr double largest_growth = 6.0;
  static constexpr double failure_cut = 0.25;
  static constexpr double smallest_error = 1e-10;
  static constexpr double smallest_remembered_error = 1e-2;  // a lucky tiny error must not forbid the next growth

  double exponent_;
  double previous_step_ = 0.0;
  double previous_error_ = 1.0;
  bool just_rejected_ = false;
};

}  // namespace gateswing::integrate
