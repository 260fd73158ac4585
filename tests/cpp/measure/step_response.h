// Closed-form step response of the underdamped second-order system, the ring every measure is checked against.
#pragma once

#include <cmath>
#include <numbers>

namespace gateswing_test {

struct StepResponse {
  double natural;  // [rad/s]
  double zeta;     // < 1
  double settled;

  double ringing() const { return natural * std::sqrt(1.0 - zeta * zeta); }
  double period() const { return 2.0 * std::numbers::pi / ringing(); }
  double decay_time() const { return 1.0 / (zeta * natural); }

  double operator()(double t) const {
    const double swing = std::cos(ringing() * t) + zeta / std::sqrt(1.0 - zeta * zeta) * std::sin(ringing() * t);
    return settled * (1.0 - std::exp(-zeta * natural * t) * swing);
  }
};

}  // namespace gateswing_test
