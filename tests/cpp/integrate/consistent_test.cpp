// Consistent initial values of algebraic rows.
#include "gateswing/integrate/consistent.h"

#include <doctest/doctest.h>

#include <cmath>
#include <stdexcept>

#include "integrate/problems/analytic.h"
#include "integrate/problems/transistor_amplifier.h"
#include "relative.h"

namespace gateswing::integrate {

namespace {

using problems::MassRows;
using problems::ProblemSystem;
using problems::States;

/// A capacitor (1 F) at v, and from it 1 kohm to a node with a diode of 1e-12 A to ground: (v - z)/1000 = i(z).
struct DiodeNode {
  static constexpr int size = 2;
  template <class T>
  States<T, size> rhs(const States<T, size>& y, const T&) const {
    using std::exp;
    const T through = 1e-3 * (y[0] - y[1]);
    return {-through, through - 1e-12 * (exp(y[1] / 0.025) - 1.0)};
  }
  template <class T>
  MassRows<T, size> mass(const States<T, size>&) const {
    MassRows<T, size> rows{};
    rows[0][0] = T(1.0);
    return rows;
  }
};

/// z^2 + level = 0 beside a state at rest: no solution for level > 0.
struct Parabola {
  static constexpr int size = 2;
  double level = 1.0;
  template <class T>
  States<T, size> rhs(const States<T, size>& y, const T&) const {
    return {T(0.0), y[1] * y[1] + level};
  }
  template <class T>
  MassRows<T, size> mass(const States<T, size>&) const {
    MassRows<T, size> rows{};
    rows[0][0] = T(1.0);
    return rows;
  }
};

/// One row of zeros but no column of zeros: not of index one.
struct Mismatched : Parabola {
  template <class T>
  MassRows<T, size> mass(const States<T, size>&) const {
    MassRows<T, size> rows{};
    rows[0][0] = rows[0][1] = T(1.0);
    return rows;
  }
};

template <class Problem>
using VectorOf = typename ProblemSystem<Problem>::Vector;

template <class Problem>
bool solve(VectorOf<Problem>& x, const Problem& problem = {}, double t = 0.0) {
  ProblemSystem<Problem> system(problem);
  return make_consistent(system, t, x, VectorOf<Problem>::Ones());
}

}  // namespace

TEST_CASE("algebraic states are solved for, differential ones keep their values") {
  constexpr double t = 0.7;
  VectorOf<problems::CoupledCapacitances> x(3.0, -1.0, 40.0);
  CHECK(solve<problems::CoupledCapacitances>(x, {}, t));
  CHECK(x[0] == 3.0);
  CHECK(x[1] == -1.0);
  CHECK(x[2] == gateswing_test::relative((1.0 - std::cos(t)) / 3.0, 1e-14));
}

TEST_CASE("a diode is found from far on either side") {
  for (const double guess : {-100.0, -1.0, 0.0, 0.3, 0.6, 3.0}) {
    for (const double supply : {-10.0, 0.1, 10.0, 1000.0}) {
      CAPTURE(guess);
      CAPTURE(supply);
      VectorOf<DiodeNode> x(supply, guess);
      REQUIRE(solve<DiodeNode>(x));
      const double node = 1e-3 * (supply - x[1]), diode = 1e-12 * std::expm1(x[1] / 0.025);
      CHECK(std::abs(node - diode) < 1e-9 * std::abs(node) + 1e-15);
      CHECK(x[0] == supply);
    }
  }
}

TEST_CASE("rows without a solution are reported and leave the state alone") {
  VectorOf<Parabola> x(2.0, 3.0);
  CHECK_FALSE(solve<Parabola>(x, {1.0}));
  CHECK(x == VectorOf<Parabola>(2.0, 3.0));
  CHECK(solve<Parabola>(x, {-4.0}));
  CHECK(x[1] == gateswing_test::relative(2.0, 1e-14));
}

TEST_CASE("a singular slope at the start is reported") {
  VectorOf<Parabola> x(2.0, 0.0);
  CHECK_FALSE(solve<Parabola>(x, {-4.0}));
  CHECK(x[1] == 0.0);
}

TEST_CASE("algebraic rows and states that differ in number are reported") {
  VectorOf<Mismatched> x(2.0, 3.0);
  CHECK_FALSE(solve<Mismatched>(x));
}

TEST_CASE("a system without algebraic rows is consistent as it is") {
  using problems::TransistorAmplifier;
  VectorOf<TransistorAmplifier> x = ProblemSystem<TransistorAmplifier>::vector(TransistorAmplifier::start);
  const VectorOf<TransistorAmplifier> before = x;
  CHECK(solve<TransistorAmplifier>(x));
  CHECK(x == before);
}

TEST_CASE("a scale that is not positive is refused") {
  ProblemSystem<Parabola> system(Parabola{-4.0});
  VectorOf<Parabola> x(2.0, 3.0);
  CHECK_THROWS_AS(make_consistent(system, 0.0, x, VectorOf<Parabola>(1.0, 0.0)), std::invalid_argument);
}

}  // namespace gateswing::integrate
