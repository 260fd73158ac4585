// Boost.Odeint's integrate_adaptive driving the integrator of this library: a gate capacitance charged through a
// resistor by a ramp, C dv/dt = (k t - v)/R, against its solution v = k (t - R C + R C exp(-t/(R C))).
#include <algorithm>
#include <boost/numeric/odeint/integrate/integrate_adaptive.hpp>
#include <cmath>
#include <cstdio>
#include <functional>

#include "gateswing/integrate/odeint_adapter.h"

namespace {

constexpr double resistance = 10.0;   // [ohm]
constexpr double capacitance = 1e-9;  // [F]
constexpr double ramp = 1e9;          // [V/s]
constexpr double end_time = 50e-9;    // [s]

struct RampedGate {
  using Real = double;
  static constexpr int size = 1;
  static constexpr int quadratures = 0;
  using Vector = Eigen::Matrix<double, 1, 1>;
  using Matrix = Eigen::Matrix<double, 1, 1>;
  using Integrals = Eigen::Matrix<double, 0, 1>;

  void linearize(double, const Vector&, Matrix& mass, Matrix& jacobian, Vector& time_derivative) const {
    mass << capacitance;
    jacobian << -1.0 / resistance;
    time_derivative << ramp / resistance;
  }
  void residual(double t, const Vector& v, Vector& r, Integrals&) const { r << (ramp * t - v[0]) / resistance; }
};

double exact(double t) {
  constexpr double tau = resistance * capacitance;
  return ramp * (t + tau * std::expm1(-t / tau));
}

// The worst error [V] seen by the observer.
template <class Stepper>
double worst_error(const char* name) {
  const gateswing::integrate::Settings settings{.relative_tolerance = 1e-8, .absolute_tolerance = 1e-8};
  Stepper stepper(RampedGate::Vector(1.0), settings);
  RampedGate system;
  RampedGate::Vector v(0.0);
  double worst = 0.0;
  const auto observe = [&](const RampedGate::Vector& state, double t) {
    worst = std::max(worst, std::abs(state[0] - exact(t)));
  };
  const std::size_t steps =
      boost::numeric::odeint::integrate_adaptive(std::ref(stepper), std::ref(system), v, 0.0, end_time, 1e-10, observe);
  worst = std::max(worst, std::abs(v[0] - exact(end_time)));
  std::printf("%-12s %3zu steps, %ld rejected, v = %.9f V, worst error %.1e V\n", name, steps,
              stepper.statistics().rejections, v[0], worst);
  return worst;
}

}  // namespace

int main() {
  using gateswing::integrate::Rodas5P;
  const double controlled =
      worst_error<gateswing::integrate::OdeintControlledStepper<Rodas5P, RampedGate>>("controlled");
  const double dense = worst_error<gateswing::integrate::OdeintDenseOutputStepper<Rodas5P, RampedGate>>("dense output");
  constexpr double allowed = 1e-6;  // [V]
  return controlled < allowed && dense < allowed ? 0 : 1;
}
