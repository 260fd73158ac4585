// Small systems, each with one awkward trait, that count how they are asked.
#pragma once

#include <Eigen/Core>

namespace gateswing::integrate::problems {

/// x' = rate(x, t) as a function object, with a slope by central differences, for traits where exactness does not
/// matter.
template <class Rate>
struct ScalarSystem {
  using Real = double;
  static constexpr int size = 1;
  static constexpr int quadratures = 0;
  using Vector = Eigen::Matrix<double, 1, 1>;
  using Matrix = Eigen::Matrix<double, 1, 1>;
  using Integrals = Eigen::Matrix<double, 0, 1>;

  Rate rate;
  long linearizations = 0;
  long residuals = 0;

  void linearize(double t, const Vector& x, Matrix& mass, Matrix& jacobian, Vector& time_derivative) {
    constexpr double apart = 1e-6;
    ++linearizations;
    mass << 1.0;
    jacobian << (rate(x[0] + apart, t) - rate(x[0] - apart, t)) / (2.0 * apart);
    time_derivative << (rate(x[0], t + apart) - rate(x[0], t - apart)) / (2.0 * apart);
  }
  void residual(double t, const Vector& x, Vector& r, Integrals&) {
    ++residuals;
    r << rate(x[0], t);
  }
};
template <class Rate>
ScalarSystem(Rate) -> ScalarSystem<Rate>;

/// 0 x' = 0: any x solves it.
struct Undetermined {
  using Real = double;
  static constexpr int size = 1;
  static constexpr int quadratures = 0;
  using Vector = Eigen::Matrix<double, 1, 1>;
  using Matrix = Eigen::Matrix<double, 1, 1>;
  using Integrals = Eigen::Matrix<double, 0, 1>;

  void linearize(double, const Vector&, Matrix& mass, Matrix& jacobian, Vector& time_derivative) const {
    mass << 0.0;
    jacobian << 0.0;
    time_derivative << 0.0;
  }
  void residual(double, const Vector&, Vector& r, Integrals&) const { r << 0.0; }
};

}  // namespace gateswing::integrate::problems
