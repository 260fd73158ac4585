// The steppers as Boost.Odeint's integrate functions use them.
#include "gateswing/integrate/odeint_adapter.h"

#include <doctest/doctest.h>

#include <boost/numeric/odeint/integrate/integrate_adaptive.hpp>
#include <boost/numeric/odeint/integrate/integrate_const.hpp>
#include <boost/numeric/odeint/integrate/integrate_times.hpp>
#include <cmath>
#include <functional>
#include <limits>
#include <vector>

#include "integrate/problems/analytic.h"
#include "integrate/problems/odd.h"
#include "integrate/problems/van_der_pol.h"
#include "relative.h"

namespace gateswing::integrate {

namespace {

namespace odeint = boost::numeric::odeint;
using problems::KapsRentrop;
using problems::ProblemSystem;
using problems::ScalarSystem;
using problems::VanDerPol;

using System = ProblemSystem<KapsRentrop>;
using Vector = System::Vector;

constexpr Settings tight{.relative_tolerance = 1e-9, .absolute_tolerance = 1e-9};

double miss(const Vector& x, double t) {
  return (x - System::vector(KapsRentrop::exact(t))).cwiseAbs().maxCoeff();
}

template <class System>
using Controlled = OdeintControlledStepper<Rodas5P, System>;
template <class System>
using Dense = OdeintDenseOutputStepper<Rodas5P, System>;

}  // namespace

TEST_CASE_TEMPLATE("integrate_adaptive reaches the end with the tolerance asked for", Stepper, Controlled<System>,
                   Dense<System>) {
  Stepper stepper(Vector::Ones(), tight);
  System system;
  Vector x(1.0, 1.0);
  double worst = 0.0, last_time = 0.0;
  const std::size_t steps = odeint::integrate_adaptive(std::ref(stepper), std::ref(system), x, 0.0, 3.0, 1e-3,
                                                       [&](const Vector& state, double t) {
                                                         worst = std::max(worst, miss(state, t));
                                                         last_time = t;
                                                       });
  CHECK(last_time == gateswing_test::relative(3.0, 1e-15));
  CHECK(worst < 1e-8);
  CHECK(miss(x, 3.0) < 1e-8);
  CHECK(steps < 120);
  CHECK(static_cast<long>(steps) == stepper.statistics().steps);
}

TEST_CASE_TEMPLATE("a stepper handed over by value works as one by reference", Stepper, Controlled<System>,
                   Dense<System>) {
  Vector x(1.0, 1.0);
  odeint::integrate_adaptive(Stepper(Vector::Ones(), tight), System(), x, 0.0, 3.0, 1e-3);
  CHECK(miss(x, 3.0) < 1e-8);
}

TEST_CASE("integrate_const and integrate_times read the dense output between steps") {
  System system;
  std::vector<double> seen;
  const auto check = [&](const Vector& state, double t) {
    seen.push_back(t);
    CAPTURE(t);
    CHECK(miss(state, t) < 3e-8);
  };
  Dense<System> stepper(Vector::Ones(), tight);
  Vector x(1.0, 1.0);
  odeint::integrate_const(std::ref(stepper), std::ref(system), x, 0.0, 3.0, 0.01, check);
  CHECK(seen.size() == 301);
  CHECK(stepper.statistics().steps < 120);

  const std::vector<double> times{0.0, 0.001, 0.5, 0.50001, 2.0, 2.9};
  seen.clear();
  Dense<System> again(Vector::Ones(), tight);
  x = Vector(1.0, 1.0);
  odeint::integrate_times(std::ref(again), std::ref(system), x, times.begin(), times.end(), 1e-3, check);
  CHECK(seen == times);
}

TEST_CASE("both steppers reach the van der Pol reference with the work of integrate") {
  using Oscillator = ProblemSystem<VanDerPol>;
  const Settings settings{.relative_tolerance = 1e-6, .absolute_tolerance = 1e-6};
  const Oscillator::Vector scale = Oscillator::Vector::Constant(1e-3);
  Oscillator system;
  const auto check = [&](auto stepper) {
    Oscillator::Vector x = system.vector(VanDerPol::start);
    odeint::integrate_adaptive(std::ref(stepper), std::ref(system), x, 0.0, VanDerPol::end_time, 1e-4);
    CHECK(x[0] == gateswing_test::relative(VanDerPol::reference[0], 5e-6));
    CHECK(stepper.statistics().steps < 900);
    CHECK(stepper.statistics().linearizations < stepper.statistics().steps + 3);
    return stepper.statistics();
  };
  const Statistics controlled = check(Controlled<Oscillator>(scale, settings));
  const Statistics dense = check(Dense<Oscillator>(scale, settings));
  CHECK(controlled.steps == gateswing_test::relative(static_cast<double>(dense.steps), 0.02));
}

TEST_CASE("a rejected attempt leaves state and time, shortens the step and keeps the linearization") {
  ScalarSystem system{[](double, double t) { return std::cos(20.0 * t); }};
  using Stepped = decltype(system);
  OdeintControlledStepper<Rodas5P, Stepped> stepper(Stepped::Vector(1.0));
  Stepped::Vector x(0.0);
  double t = 0.0, dt = 2.0;
  while (stepper.try_step(std::ref(system), x, t, dt) == odeint::fail) {
    CHECK(t == 0.0);
    CHECK(x[0] == 0.0);
  }
  CHECK(stepper.statistics().rejections > 0);
  CHECK(system.linearizations == 1);
  CHECK(t > 0.0);
  CHECK(std::abs(x[0] - std::sin(20.0 * t) / 20.0) < 1e-6);
}

TEST_CASE("a stepper put back to an earlier point starts afresh") {
  System system;
  Controlled<System> stepper(Vector::Ones(), tight);
  const auto first_step = [&] {
    Vector x(1.0, 1.0);
    double t = 0.0, dt = 0.01;
    CHECK(stepper.try_step(std::ref(system), x, t, dt) == odeint::success);
    return x;
  };
  const Vector first = first_step();
  CHECK(first_step() == first);
}

TEST_CASE_TEMPLATE("a run that cannot go on throws Odeint's own exception", Stepper,
                   Controlled<ScalarSystem<double (*)(double, double)>>,
                   Dense<ScalarSystem<double (*)(double, double)>>) {
  ScalarSystem<double (*)(double, double)> system{
      [](double x, double t) { return t > 0.5 ? std::numeric_limits<double>::quiet_NaN() : -x; }};
  Stepper stepper(Eigen::Matrix<double, 1, 1>(1.0));
  Eigen::Matrix<double, 1, 1> x(1.0);
  CHECK_THROWS_AS(odeint::integrate_adaptive(std::ref(stepper), std::ref(system), x, 0.0, 1.0, 1e-3),
                  odeint::odeint_error);
}

}  // namespace gateswing::integrate
