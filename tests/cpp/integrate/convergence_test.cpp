// Orders of convergence in steps of equal length, of the solution, its dense output and its quadratures.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "integrate/fixed_steps.h"
#include "integrate/problems/analytic.h"

namespace gateswing::integrate {

namespace {

using problems::CoupledCapacitances;
using problems::KapsRentrop;
using problems::ProblemSystem;
using problems::ProtheroRobinson;

struct Errors {
  double end = 0.0, dense = 0.0, slope = 0.0, quadrature = 0.0;
};

template <class Problem>
auto exact_at(double t) {
  return ProblemSystem<Problem>::vector(Problem::exact(t));
}

template <class Vector>
double largest(const Vector& v) {
  return v.cwiseAbs().maxCoeff();
}

/// Errors of a problem over [0, 1.5].
template <class Tableau, class Problem>
Errors errors(const Problem& problem, int count) {
  using System = ProblemSystem<Problem>;
  constexpr double end_time = 1.5, apart = 1e-5;
  System system(problem);
  typename System::Vector x = exact_at<Problem>(0.0);
  typename System::Integrals integrals = System::Integrals::Zero();
  Errors result;
  const bool done = test::take_steps<Tableau>(system, x, 0.0, end_time, count, [&](const auto& step, double end) {
    const auto dense = step.dense(end);
    for (const double theta : {0.2, 0.5, 0.8}) {
      const double t = dense.start_time + theta * dense.length();
      const typename System::Vector slope =
          (exact_at<Problem>(t + apart) - exact_at<Problem>(t - apart)) / (2.0 * apart);
      result.dense = std::max(result.dense, largest(dense.value(theta) - exact_at<Problem>(t)));
      result.slope = std::max(result.slope, largest(dense.derivative(theta) - slope));
    }
    integrals += step.integrals();
  });
  REQUIRE(done);
  result.end = largest(x - exact_at<Problem>(end_time));
  if constexpr (System::quadratures > 0) {
    const auto exact = Problem::exact_integrals(end_time);
    for (int i = 0; i < System::quadratures; ++i) {
      result.quadrature = std::max(result.quadrature, std::abs(integrals[i] - exact[static_cast<std::size_t>(i)]));
    }
  }
  return result;
}

template <class Tableau, class Problem>
double order_of(double Errors::* kind, const Problem& problem, int count) {
  return test::observed_order([&](int n) { return errors<Tableau>(problem, n).*kind; }, count);
}

constexpr double tolerance = 0.3;

}  // namespace

TEST_CASE_TEMPLATE("a method has its order on an autonomous problem", T, Rodas4, Rodas4P, Rodas5P) {
  CHECK(std::abs(order_of<T>(&Errors::end, KapsRentrop{}, 32) - T::order) < tolerance);
  CHECK(order_of<T>(&Errors::dense, KapsRentrop{}, 32) > T::dense_order + 1 - tolerance);
}

// The case in which a wrong d_i leaves order one.
TEST_CASE_TEMPLATE("a method has its order on a problem forced by time", T, Rodas4, Rodas4P, Rodas5P) {
  const ProtheroRobinson problem{-2.0};
  CHECK(order_of<T>(&Errors::end, problem, 16) > T::order - tolerance);
  CHECK(order_of<T>(&Errors::dense, problem, 16) > T::dense_order + 1 - tolerance);
}

TEST_CASE_TEMPLATE("the slope of the dense output has one order less than its value", T, Rodas4, Rodas4P, Rodas5P) {
  CHECK(order_of<T>(&Errors::slope, KapsRentrop{}, 32) > T::dense_order - tolerance);
}

// Orders between 1 and 3.2 at h = 1.5/32 to 1.5/64 and rate -1e4: the reason to have the methods whose name ends in P.
TEST_CASE("methods made against order reduction keep order three under stiff forcing, Rodas4 does not") {
  const ProtheroRobinson stiff{-1e4};
  constexpr int count = 64;
  CHECK(std::abs(order_of<Rodas4>(&Errors::end, stiff, count) - 1.2) < 0.4);
  CHECK(order_of<Rodas4P>(&Errors::end, stiff, count) > 2.7);
  CHECK(order_of<Rodas5P>(&Errors::end, stiff, count) > 2.7);
  CHECK(errors<Rodas4>(stiff, count).end < 1e-6);
  CHECK(errors<Rodas4P>(stiff, count).end < 1e-10);
  CHECK(errors<Rodas5P>(stiff, count).end < 1e-10);
}

TEST_CASE("dense output stays accurate under stiff forcing") {
  const ProtheroRobinson stiff{-1e4};
  CHECK(errors<Rodas4>(stiff, 64).dense < 1e-5);
  CHECK(errors<Rodas5P>(stiff, 64).dense < 1e-7);
}

TEST_CASE_TEMPLATE("a state-dependent mass matrix and an algebraic row keep the order", T, Rodas4, Rodas4P, Rodas5P) {
  CHECK(std::abs(order_of<T>(&Errors::end, CoupledCapacitances{}, 48) - T::order) < tolerance);
  // An algebraic state has one order less inside a step than a differential one.
  CHECK(order_of<T>(&Errors::dense, CoupledCapacitances{}, 48) > T::dense_order - tolerance);
}

TEST_CASE_TEMPLATE("quadratures have the order of the solution", T, Rodas4, Rodas4P, Rodas5P) {
  CHECK(std::abs(order_of<T>(&Errors::quadrature, CoupledCapacitances{}, 48) - T::order) < 2 * tolerance);
  CHECK(errors<T>(CoupledCapacitances{}, 96).quadrature < 1e-8);
}

}  // namespace gateswing::integrate
