// Turns a problem, written once for any scalar type, into a system the integrator takes, with exact derivatives by
// Dual.
#pragma once

#include <Eigen/Dense>
#include <array>
#include <cmath>
#include <concepts>
#include <cstddef>

#include "gateswing/device/dual.h"

namespace gateswing::integrate::problems {

template <class T, int n>
using States = std::array<T, static_cast<std::size_t>(n)>;
template <class T, int n>
using MassRows = std::array<States<T, n>, static_cast<std::size_t>(n)>;

inline double sine(double x) {
  return std::sin(x);
}
inline double cosine(double x) {
  return std::cos(x);
}
template <int N>
device::Dual<double, N> sine(const device::Dual<double, N>& x) {
  return chain(x, std::sin(x.value), std::cos(x.value));
}
template <int N>
device::Dual<double, N> cosine(const device::Dual<double, N>& x) {
  return chain(x, std::cos(x.value), -std::sin(x.value));
}

inline double value_of(double x) {
  return x;
}
template <int N>
double value_of(const device::Dual<double, N>& x) {
  return x.value;
}

template <class Problem>
concept HasMass = requires(const Problem& problem, const States<double, Problem::size>& y) { problem.mass(y); };
template <class Problem>
concept HasQuadratures = requires { Problem::quadratures; };

template <class Problem>
constexpr int quadratures_of() {
  if constexpr (HasQuadratures<Problem>) return Problem::quadratures;
  return 0;
}

// A Problem has `size`, rhs(y, t), and where it needs them mass(y) (identity otherwise; where it depends on y, its rows
// of zeros must be the algebraic ones) with `mass_depends_on_state`, integrand(y, t) with `quadratures`.
template <class Problem>
class ProblemSystem {
 public:
  static constexpr int size = Problem::size;
  static constexpr int quadratures = quadratures_of<Problem>();
  using Real = double;
  using Vector = Eigen::Matrix<double, size, 1>;
  using Matrix = Eigen::Matrix<double, size, size>;
  using Integrals = Eigen::Matrix<double, quadratures, 1>;

  explicit ProblemSystem(Problem problem = {}) : problem_(problem) {}

  const Problem& problem() const { return problem_; }

  void linearize(double t, const Vector& x, Matrix& mass, Matrix& jacobian, Vector& time_derivative) {
    const States<Direction, size> y = seeded(x);
    const Direction time = device::seed<size + 1>(t, size);
    const States<Direction, size> f = problem_.rhs(y, time);
    for (int i = 0; i < size; ++i) {
      const Direction& row = f[index(i)];
      for (int j = 0; j < size; ++j) jacobian(i, j) = row.derivative[index(j)];
      time_derivative[i] = row.derivative[index(size)];
    }
    mass = mass_at(x);
    if constexpr (depends_on_state()) subtract_mass_derivative(y, rates(mass, values(f)), jacobian);
    mass_ = mass;
    if constexpr (quadratures > 0) remember_integrand_slopes(y, time);
  }

  void residual(double t, const Vector& x, Vector& r, Integrals& p) const {
    const States<double, size> y = plain(x);
    r = vector(problem_.rhs(y, t));
    if constexpr (depends_on_state()) {
      const Vector g = rates(mass_at(x), r);
      for (int i = 0; i < size; ++i) {
        if (!mass_.row(i).isZero(0.0)) r[i] = mass_.row(i).dot(g);
      }
    }
    if constexpr (quadratures > 0) {
      const auto integrand = problem_.integrand(y, t);
      for (int i = 0; i < quadratures; ++i) p[i] = integrand[index(i)];
    }
  }

  Integrals integrand_tangent(const Vector& direction, double time) const {
    return integrand_slopes_ * direction + integrand_time_slopes_ * time;
  }

  Matrix mass_at(const Vector& x) const {
    Matrix mass = Matrix::Identity();
    if constexpr (HasMass<Problem>) {
      const MassRows<double, size> rows = problem_.mass(plain(x));
      for (int i = 0; i < size; ++i) {
        for (int j = 0; j < size; ++j) mass(i, j) = rows[index(i)][index(j)];
      }
    }
    return mass;
  }

  static Vector vector(const States<double, size>& y) { return Eigen::Map<const Vector>(y.data()); }

 private:
  using Direction = device::Dual<double, size + 1>;

  static constexpr std::size_t index(int i) { return static_cast<std::size_t>(i); }
  static constexpr bool depends_on_state() {
    if constexpr (requires { Problem::mass_depends_on_state; }) return Problem::mass_depends_on_state;
    return false;
  }

  static States<double, size> plain(const Vector& x) {
    States<double, size> y;
    for (int i = 0; i < size; ++i) y[index(i)] = x[i];
    return y;
  }
  static States<Direction, size> seeded(const Vector& x) {
    States<Direction, size> y;
    for (int i = 0; i < size; ++i) y[index(i)] = device::seed<size + 1>(x[i], i);
    return y;
  }
  static Vector values(const States<Direction, size>& f) {
    Vector result;
    for (int i = 0; i < size; ++i) result[i] = f[index(i)].value;
    return result;
  }

  // x' on the differential rows.
  static Vector rates(Matrix mass, const Vector& f) {
    for (int i = 0; i < size; ++i) {
      if (mass.row(i).isZero(0.0)) mass(i, i) = 1.0;
    }
    return mass.partialPivLu().solve(f);
  }

  void subtract_mass_derivative(const States<Direction, size>& y, const Vector& rate, Matrix& jacobian) const {
    const MassRows<Direction, size> rows = problem_.mass(y);
    for (int i = 0; i < size; ++i) {
      for (int k = 0; k < size; ++k) {
        for (int j = 0; j < size; ++j) jacobian(i, j) -= rows[index(i)][index(k)].derivative[index(j)] * rate[k];
      }
    }
  }

  void remember_integrand_slopes(const States<Direction, size>& y, const Direction& time) {
    const auto integrand = problem_.integrand(y, time);
    for (int i = 0; i < quadratures; ++i) {
      const Direction& row = integrand[index(i)];
      for (int j = 0; j < size; ++j) integrand_slopes_(i, j) = row.derivative[index(j)];
      integrand_time_slopes_[i] = row.derivative[index(size)];
    }
  }

  Problem problem_;
  Matrix mass_ = Matrix::Identity();
  Eigen::Matrix<double, quadratures, size> integrand_slopes_;
  Integrals integrand_time_slopes_;
};

}  // namespace gateswing::integrate::problems
