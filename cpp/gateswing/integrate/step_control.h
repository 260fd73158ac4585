// Chooses the next step length from the size of the last errors.
#pragma once

#include <algorithm>
#include <cmath>

namespace gateswing::integrate {

/// The shorter of two controllers' answers. With q = embedded order + 1, err <= 1 an accepted step and r =
/// err/safety^q:
///   proportional-integral  h_new = h r^(-k_I/q) (r_old/r)^(k_P/q)
///   predictive             h_new = h r^(-1/q)   (r_old/r)^(1/q) h/h_old
/// K. Gustafsson, ACM Trans. Math. Softw. 17, 533-554 (1991) and 20, 496-517 (1994). k_I = 0.3 is Gustafsson's, k_P =
/// 0.2 half of his. On a ringing switching circuit at tolerances of 1e-3 to 1e-7 the pair rejects 1 % (Rodas4) and 3 %
/// (Rodas5P) of the steps, where the controller without memory rejects 10 and 15 %, with as many attempts and less
/// error. No growth right after a rejection.
class StepControl {
 public:
  static constexpr double integral_gain = 0.3;
  static constexpr double proportional_gain = 0.2;
  static constexpr double safety = 0.9;
  static constexpr double largest_cut = 1.0 / 6.0;
  static constexpr double largest_growth = 6.0;
  static constexpr double failure_cut = 0.25;
  static constexpr double smallest_error = 1e-10;
  static constexpr double smallest_remembered_log_error = -4.6;  // one error of 1 % by luck must not forbid growth

  explicit StepControl(int embedded_order) : exponent_(1.0 / (embedded_order + 1)) {}

  void restart() {
    previous_step_ = 0.0;
    just_rejected_ = false;
  }

  double after_acceptance(double step, double error) {
    const double log_error = std::log(std::max(error, smallest_error)) - std::log(safety) / exponent_;
    double log_factor = -exponent_ * log_error;
    if (previous_step_ > 0.0) {
      const double trend = exponent_ * (previous_log_error_ - log_error);
      const double predictive = log_factor + trend + std::log(step / previous_step_);
      log_factor = std::min(integral_gain * log_factor + proportional_gain * trend, predictive);
    }
    const double growth = just_rejected_ ? 1.0 : largest_growth;
    previous_step_ = step;
    previous_log_error_ = std::max(log_error, smallest_remembered_log_error);
    just_rejected_ = false;
    return step * std::clamp(std::exp(log_factor), largest_cut, growth);
  }

  double after_rejection(double step, double error) {
    just_rejected_ = true;
    return step * std::clamp(safety * std::pow(error, -exponent_), largest_cut, safety);
  }

  /// The model gave no number or the step matrix was singular, so there is no error to go by.
  double after_failure(double step) {
    just_rejected_ = true;
    return step * failure_cut;
  }

 private:
  double exponent_;
  double previous_step_ = 0.0;
  double previous_log_error_ = 0.0;
  bool just_rejected_ = false;
};

}  // namespace gateswing::integrate
