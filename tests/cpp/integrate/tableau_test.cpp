// The identities every coefficient set must obey, and the stability function that follows from it.
#include "gateswing/integrate/tableau.h"
#include "relative.h"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <type_traits>

namespace gateswing::integrate {

namespace {

using Complex = std::complex<double>;

/// R(z): one step of x' = z x from 1 with h = 1.
template <class Tableau>
Complex stability(Complex z) {
  std::array<Complex, Tableau::stages> u;
  Complex end = 1.0;
  for (std::size_t i = 0; i < Tableau::stages; ++i) {
    Complex right = z;
    for (std::size_t j = 0; j < i; ++j) right += (z * Tableau::a[i][j] + Tableau::k[i][j]) * u[j];
    u[i] = right / (1.0 / Tableau::gamma - z);
    end += Tableau::b[i] * u[i];
  }
  return end;
}

}  // namespace

TEST_CASE_TEMPLATE("a tableau is consistent for right-hand sides that depend on time", T, Rodas4, Rodas4P, Rodas5P) {
  double solution = 0.0;
  for (std::size_t i = 0; i < T::stages; ++i) {
    double node = 0.0, time_weight = 1.0;
    for (std::size_t j = 0; j < i; ++j) {
      node += T::a[i][j] * T::d[j];
      time_weight += T::k[i][j] * T::d[j];
    }
    CAPTURE(i);
    CHECK(std::abs(node - T::c[i]) < 1e-13);
    CHECK(std::abs(T::gamma * time_weight - T::d[i]) < 1e-13);
    solution += T::b[i] * T::d[i];
  }
  CHECK(solution == gateswing_test::relative(1.0, 1e-13));
}

TEST_CASE_TEMPLATE("a tableau is strictly lower triangular and stiffly accurate", T, Rodas4, Rodas4P, Rodas5P) {
  constexpr std::size_t last = T::stages - 1;
  for (std::size_t i = 0; i < T::stages; ++i) {
    for (std::size_t j = i; j < T::stages; ++j) {
      CHECK(T::a[i][j] == 0.0);
      CHECK(T::k[i][j] == 0.0);
    }
    CHECK(T::error[i] == (i == last ? 1.0 : 0.0));
    CHECK(T::b[i] == (i == last ? 1.0 : T::a[last][i]));
  }
}

// The mean over z and -z drops the next term of the error.
TEST_CASE_TEMPLATE("the stability function meets exp to the order of the method", T, Rodas4, Rodas4P, Rodas5P) {
  const auto miss = [](double z) {
    return std::sqrt(std::abs(stability<T>(z) - std::exp(z)) * std::abs(stability<T>(-z) - std::exp(-z)));
  };
  CHECK(std::log2(miss(0.2) / miss(0.1)) - 1.0 > T::order - 0.1);
}

TEST_CASE_TEMPLATE("a method damps infinitely stiff modes in one step", T, Rodas4, Rodas4P, Rodas5P) {
  CHECK(std::abs(stability<T>(-1e9)) < 1e-6);
  CHECK(std::abs(stability<T>(Complex(0.0, 1e9))) < 1e-6);
}

// With no pole in the left half-plane (the only one is 1/gamma), |R| <= 1 on the imaginary axis means A-stability.
TEST_CASE_TEMPLATE("a method is A-stable", T, Rodas4, Rodas4P, Rodas5P) {
  for (double exponent = -3.0; exponent < 6.0; exponent += 0.01) {
    const double frequency = std::pow(10.0, exponent);
    CAPTURE(frequency);
    CHECK(std::abs(stability<T>(Complex(0.0, frequency))) <= 1.0 + 1e-13);
  }
}

TEST_CASE_TEMPLATE("the quadrature weights integrate a constant and a ramp exactly", T, Rodas4, Rodas4P, Rodas5P) {
  constexpr Row<T::stages> w = quadrature_weights<T>();
  double constant = 0.0, ramp = quadrature_time_weight<T>();
  for (std::size_t i = 0; i < T::stages; ++i) {
    constant += w[i];
    ramp += w[i] * T::c[i];
  }
  CHECK(constant == gateswing_test::relative(1.0, 1e-13));
  CHECK(ramp == gateswing_test::relative(0.5, 1e-13));
}

TEST_CASE("Rodas4 serves tolerances from 5e-4 up and Rodas5P those below") {
  const auto is_rodas4 = [](auto method) { return std::is_same_v<decltype(method), Rodas4>; };
  CHECK(with_method_for(1e-3, is_rodas4));
  CHECK(with_method_for(5e-4, is_rodas4));
  CHECK_FALSE(with_method_for(4e-4, is_rodas4));
  CHECK_FALSE(with_method_for(1e-6, is_rodas4));
}

}  // namespace gateswing::integrate
