// Capacitance, charge and stored energy against closed forms and against quadrature.
#include <doctest/doctest.h>

#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <cmath>

#include "device/check.h"
#include "device/random_laws.h"
#include "gateswing/device/capacitance.h"
#include "relative.h"

namespace gateswing::device::test {
namespace {

template <class Function>
double integral(const Function& f, double from, double to) {
  return boost::math::quadrature::gauss_kronrod<double, 31>::integrate(f, from, to, 15, 1e-13);
}

template <class Law>
void check_integrals(const Law& law, double voltage) {
  CAPTURE(law);
  CAPTURE(voltage);
  const double expected_charge = integral([&law](double v) { return capacitance(law, v); }, 0.0, voltage);
  const double expected_energy = integral([&law](double v) { return v * capacitance(law, v); }, 0.0, voltage);
  CHECK(close(charge(law, voltage), expected_charge, 1e-10));
  CHECK(close(stored_energy(law, voltage), expected_energy, 1e-10));
}

template <class Law>
void check_slopes(const Law& law, double voltage) {
  CAPTURE(law);
  CAPTURE(voltage);
  check_derivatives([&law](const auto& v) { return capacitance(law, v); }, voltage);
  check_derivatives([&law](const auto& v) { return charge(law, v); }, voltage);
  check_derivatives([&law](const auto& v) { return stored_energy(law, v); }, voltage);
  CHECK(close(charge(law, seed<1>(voltage, 0)).derivative[0], capacitance(law, voltage), 1e-10));
  CHECK(close(stored_energy(law, seed<1>(voltage, 0)).derivative[0], voltage * capacitance(law, voltage), 1e-8));
}

/// A junction without floor, zero_bias 1 nF, potential 0.8 V.
DepletionCapacitance<> junction(double grading) {
  return {.zero_bias = 1e-9, .potential = 0.8, .grading = grading, .floor = 0.0, .ceiling = 3e-9};
}

TEST_CASE("the energy of a junction is the closed form's multiple of C V^2/2") {
  // Ratio of stored energy to C(V) V^2/2 at u = V/potential: evaluated from the integral of v C0 (1 + u)^-m by hand;
  // the limit 4/3 for m = 1/2 agrees with the 2/3 C V^2 of Erickson and Maksimovic, Fundamentals of Power Electronics
  // (from memory).
  struct Row {
    double grading, u, factor;
  };
  for (const Row& row : {Row{0.5, 10.0, 1.2618}, Row{0.5, 100.0, 1.3224}, Row{0.5, 500.0, 1.3309},
                         Row{0.33, 100.0, 1.1923}, Row{0.7, 100.0, 1.5150}}) {
    CAPTURE(row.grading);
    CAPTURE(row.u);
    const auto law = junction(row.grading);
    const double v = row.u * law.potential;
    CHECK(stored_energy(law, v) / (0.5 * capacitance(law, v) * v * v) == gateswing_test::relative(row.factor, 5e-5));
  }
}

TEST_CASE("charge and energy of a step junction are the textbook closed forms") {
  const auto law = junction(0.5);
  for (const double u : {0.5, 10.0, 100.0}) {
    CAPTURE(u);
    const double v = u * law.potential;
    const double root = std::sqrt(1.0 + u);
    const double scale = law.zero_bias * law.potential;
    CHECK(close(capacitance(law, v), law.zero_bias / root, 1e-14));
    CHECK(close(charge(law, v), scale * 2.0 * (root - 1.0), 1e-13));
    CHECK(close(stored_energy(law, v), scale * law.potential * ((root * root * root - 1.0) / 1.5 - 2.0 * (root - 1.0)),
                1e-13));
  }
}

TEST_CASE("at large voltage a step junction holds 2 C V and 2/3 C V^2") {
  const auto law = junction(0.5);
  const double v = 1e6;
  CHECK(charge(law, v) / (capacitance(law, v) * v) == gateswing_test::relative(2.0, 2e-3));
  CHECK(stored_energy(law, v) / (capacitance(law, v) * v * v) == gateswing_test::relative(2.0 / 3.0, 2e-3));
}

TEST_CASE("a depletion capacitance runs from floor + ceiling in accumulation to its floor in depletion") {
  const DepletionCapacitance<> law{
      .zero_bias = 1e-9, .potential = 0.8, .grading = 0.5, .floor = 2e-11, .ceiling = 3e-9};
  CHECK(close(capacitance(law, -100.0), 3.02e-9, 1e-12));
  CHECK(close(capacitance(law, 0.0), 1.02e-9, 1e-15));
  CHECK(close(capacitance(law, 0.8 * 99.0), 1.2e-10, 1e-14));
}

TEST_CASE("a depletion capacitance joins its two sides in value and slope at zero") {
  Draw draw(31);
  for (int i = 0; i < 200; ++i) {
    const auto law = draw.depletion();
    CAPTURE(law);
    const auto below = capacitance(law, seed<1>(-1e-12, 0));
    const auto above = capacitance(law, seed<1>(0.0, 0));
    CHECK(close(above.value, law.floor + law.zero_bias, 1e-14));
    CHECK(close(below.value, above.value, 1e-10));
    CHECK(close(below.derivative[0], above.derivative[0], 1e-9));
    CHECK(close(above.derivative[0], -law.zero_bias * law.grading / law.potential, 1e-12));
  }
}

TEST_CASE("a step capacitance is half-way at its centre, rises as its width says and reaches low and high") {
  const StepCapacitance<> law{.low = 1e-9, .high = 1.6e-9, .centre = 2.0, .width = 0.5};
  const auto centre = capacitance(law, seed<1>(2.0, 0));
  CHECK(close(centre.value, 1.3e-9, 1e-14));
  CHECK(close(centre.derivative[0], 0.3e-9 / 0.5, 1e-14));
  CHECK(close(capacitance(law, 2.5), 1.3e-9 + 0.3e-9 / std::sqrt(2.0), 1e-14));
  CHECK(close(capacitance(law, -1e6), 1e-9, 1e-9));
  CHECK(close(capacitance(law, 1e6), 1.6e-9, 1e-9));
}

TEST_CASE("a constant capacitance holds C V and C V^2/2") {
  const ConstantCapacitance<> law{.capacitance = 2e-9};
  CHECK(capacitance(law, -7.0) == 2e-9);
  CHECK(charge(law, -7.0) == gateswing_test::relative(-14e-9, 1e-15));
  CHECK(stored_energy(law, -7.0) == gateswing_test::relative(49e-9, 1e-15));
}

template <class Law>
void check_zero_volts(const Law& law) {
  CAPTURE(law);
  CHECK(charge(law, 0.0) == 0.0);
  CHECK(stored_energy(law, 0.0) == 0.0);
  CHECK(close(charge(law, seed<1>(0.0, 0)).derivative[0], capacitance(law, 0.0), 1e-13));
  CHECK(std::abs(stored_energy(law, seed<1>(0.0, 0)).derivative[0]) < 1e-13 * capacitance(law, 0.0));
}

TEST_CASE("at exactly zero volts charge and energy are zero and the slope of the charge is C") {
  Draw draw(32);
  for (int i = 0; i < 50; ++i) {
    check_zero_volts(draw.depletion());
    check_zero_volts(draw.step());
    check_zero_volts(draw.constant());
  }
}

TEST_CASE("charge and energy are the integrals of C and v C, by adaptive quadrature") {
  Draw draw(33);
  for (int i = 0; i < 300; ++i) {
    check_integrals(draw.depletion(), draw.log_uniform(0.1, 800.0));
    check_integrals(draw.depletion(), -draw.log_uniform(0.1, 50.0));
    check_integrals(draw.step(), draw.log_uniform(0.1, 30.0));
    check_integrals(draw.step(), -draw.log_uniform(0.1, 30.0));
    check_integrals(draw.constant(), draw.uniform(-50.0, 50.0));
  }
}

StepCapacitance<long double> extended(const StepCapacitance<>& law) {
  return {law.low, law.high, law.centre, law.width};
}
DepletionCapacitance<long double> extended(const DepletionCapacitance<>& law) {
  return {law.zero_bias, law.potential, law.grading, law.floor, law.ceiling};
}

/// Against quadrature in extended precision, of integrands in which nothing cancels.
template <class Law>
void check_digits(const Law& law, double voltage) {
  CAPTURE(law);
  CAPTURE(voltage);
  const auto wide = extended(law);
  const auto integrated = [end = static_cast<long double>(voltage)](const auto& f) {
    using Quadrature = boost::math::quadrature::gauss_kronrod<long double, 31>;
    return static_cast<double>(Quadrature::integrate(f, 0.0L, end, 6, 1e-15L));
  };
  const double held = integrated([&wide](long double v) { return capacitance(wide, v); });
  const double energy = integrated([&wide](long double v) { return v * capacitance(wide, v); });
  CHECK(close(charge(law, voltage), held, 1e-13));
  CHECK(close(stored_energy(law, voltage), energy, 1e-13));
}

TEST_CASE("charge and energy keep their digits down to the smallest voltage") {
  Draw draw(37);
  for (int i = 0; i < 100; ++i) {
    for (const double sign : {1.0, -1.0}) {
      check_digits(draw.depletion(), sign * draw.log_uniform(1e-12, 0.3));
      check_digits(draw.step(), sign * draw.log_uniform(1e-12, 0.3));
    }
  }
  // A superjunction's columns, seen from far below their step.
  const StepCapacitance<> columns{.low = 5.88e-9, .high = 0.0, .centre = 25.0, .width = 4.0};
  for (const double v : {1e-9, 1e-6, 1e-3, 1.0}) check_digits(columns, v);
}

TEST_CASE("the slope of the charge is C, that of the energy v C, and all slopes are exact") {
  Draw draw(34);
  for (int i = 0; i < 300; ++i) {
    check_slopes(draw.depletion(), draw.log_uniform(0.1, 800.0));
    check_slopes(draw.depletion(), -draw.log_uniform(0.1, 50.0));
    check_slopes(draw.step(), draw.log_uniform(0.1, 30.0));
    check_slopes(draw.step(), -draw.log_uniform(0.1, 30.0));
    check_slopes(draw.constant(), draw.uniform(-50.0, 50.0));
  }
}

TEST_CASE("capacitance and stored energy are positive at every voltage") {
  Draw draw(35);
  for (int i = 0; i < 1000; ++i) {
    const auto depletion = draw.depletion();
    const auto step = draw.step();
    const double v = draw.uniform(-100.0, 800.0);
    CAPTURE(depletion);
    CAPTURE(step);
    CAPTURE(v);
    CHECK(capacitance(depletion, v) > 0.0);
    CHECK(stored_energy(depletion, v) > 0.0);
    CHECK(capacitance(step, v) > 0.0);
    CHECK(stored_energy(step, v) > 0.0);
  }
}

template <class Law>
void check_extremes(const Law& law) {
  CAPTURE(law);
  check_finite_and_honest<1>([&law](const auto& v) { return charge(law, v); });
  check_finite_and_honest<1>([&law](const auto& v) { return stored_energy(law, v); });
}

TEST_CASE("capacitance, charge and energy stay finite at enormous voltages and pass a NaN on") {
  Draw draw(36);
  for (int i = 0; i < 20; ++i) {
    const auto depletion = draw.depletion();
    const auto step = draw.step();
    check_extremes(depletion);
    check_extremes(step);
    check_extremes(draw.constant());
    check_finite_and_honest<1>([&depletion](const auto& v) { return capacitance(depletion, v); });
    check_finite_and_honest<1>([&step](const auto& v) { return capacitance(step, v); });
  }
}

}  // namespace
}  // namespace gateswing::device::test
