// Dual numbers and the lifting of a law to many directions.
#include <doctest/doctest.h>

#include "device/check.h"
#include "gateswing/device/dual.h"

namespace gateswing::device::test {
namespace {

TEST_CASE("every operator of a dual carries the derivative the complex step finds") {
  const double a = 1.7;
  const double b = -0.6;
  check_derivatives([](const auto& x, const auto& y) { return x + y; }, a, b);
  check_derivatives([](const auto& x, const auto& y) { return x - y; }, a, b);
  check_derivatives([](const auto& x, const auto& y) { return x * y; }, a, b);
  check_derivatives([](const auto& x, const auto& y) { return x / y; }, a, b);
  check_derivatives([](const auto& x) { return -x; }, a);
  check_derivatives([](const auto& x) { return x + 2.5; }, a);
  check_derivatives([](const auto& x) { return 2.5 + x; }, a);
  check_derivatives([](const auto& x) { return x - 2.5; }, a);
  check_derivatives([](const auto& x) { return 2.5 - x; }, a);
  check_derivatives([](const auto& x) { return x * 2.5; }, a);
  check_derivatives([](const auto& x) { return 2.5 * x; }, a);
  check_derivatives([](const auto& x) { return x / 2.5; }, a);
  check_derivatives([](const auto& x) { return 2.5 / x; }, a);
}

TEST_CASE("exponentials and logarithms of a dual carry the derivative the complex step finds") {
  for (const double at : {1e-3, 0.4, 2.0, 30.0}) {
    CAPTURE(at);
    check_derivatives(
        [](const auto& x) {
          using std::exp;
          return exp(x);
        },
        at);
    check_derivatives(
        [](const auto& x) {
          using std::expm1;
          return expm1(x);
        },
        -at);
    check_derivatives(
        [](const auto& x) {
          using std::log;
          return log(x);
        },
        at);
    check_derivatives(
        [](const auto& x) {
          using std::log1p;
          return log1p(x);
        },
        at);
  }
}

TEST_CASE("roots, powers and asinh of a dual carry the derivative the complex step finds") {
  for (const double at : {1e-3, 0.4, 2.0, 30.0}) {
    CAPTURE(at);
    check_derivatives(
        [](const auto& x) {
          using std::sqrt;
          return sqrt(x);
        },
        at);
    check_derivatives(
        [](const auto& x) {
          using std::asinh;
          return asinh(x);
        },
        -at);
    check_derivatives(
        [](const auto& x) {
          using std::pow;
          return pow(x, -0.37);
        },
        at);
  }
}

TEST_CASE("compound assignment of duals is the operator and the assignment") {
  const auto x = seed<2>(3.0, 0);
  const auto y = seed<2>(-0.5, 1);
  const auto same = [](const Dual<double, 2>& p, const Dual<double, 2>& q) {
    return p.value == q.value && p.derivative == q.derivative;
  };
  auto sum = x, difference = x, product = x, quotient = x;
  sum += y;
  difference -= y;
  product *= y;
  quotient /= y;
  CHECK(same(sum, x + y));
  CHECK(same(difference, x - y));
  CHECK(same(product, x * y));
  CHECK(same(quotient, x / y));
}

TEST_CASE("a dual compares by its value and selects value and derivatives together") {
  const auto low = seed<2>(1.0, 0);
  const auto high = seed<2>(2.0, 1);
  CHECK(low < high);
  CHECK(high > low);
  CHECK(low < 1.5);
  CHECK(high > 1.5);
  const auto chosen = select(low > high, low, high);
  CHECK(chosen.value == 2.0);
  CHECK(chosen.derivative == high.derivative);
}

TEST_CASE("a seeded dual moves along its own direction and a constant along none") {
  CHECK(seed<3>(4.0, 1).value == 4.0);
  CHECK(seed<3>(4.0, 1).derivative == std::array<double, 3>{0.0, 1.0, 0.0});
  CHECK(Dual<double, 3>(4.0).derivative == std::array<double, 3>{});
}

TEST_CASE("the chain rule differentiates a function once per argument, however many directions the arguments carry") {
  int most_directions = 0;
  const auto product = [&most_directions]<class S>(const S& x, const S& y) {
    if constexpr (is_dual<S>::value) most_directions = std::max(most_directions, S::directions);
    return x * y;
  };
  Dual<double, 8> x(3.0), y(5.0);
  for (std::size_t i = 0; i < 8; ++i) {
    x.derivative[i] = static_cast<double>(i);
    y.derivative[i] = 1.0 - static_cast<double>(i);
  }
  const auto lifted = by_chain_rule(product, x, y);
  CHECK(most_directions == 2);
  CHECK(lifted.value == 15.0);
  CHECK(lifted.derivative == (x * y).derivative);
}

}  // namespace
}  // namespace gateswing::device::test
