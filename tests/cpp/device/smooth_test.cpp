// The smooth building blocks: values, exact slopes, joints, extremes.
#include <doctest/doctest.h>

#include <cmath>

#include "device/check.h"
#include "device/random_laws.h"
#include "gateswing/device/smooth.h"
#include "relative.h"

namespace gateswing::device::test {
namespace {

TEST_CASE("softplus is ln(1 + exp x), an exponential far below zero and the identity far above") {
  for (double x = -30.0; x <= 30.0; x += 0.37) {
    CAPTURE(x);
    const double exact = static_cast<double>(std::log1p(std::exp(static_cast<long double>(x))));
    CHECK(close(softplus(x), exact, 4e-16));
  }
  CHECK(softplus(0.0) == gateswing_test::relative(std::log(2.0), 1e-15));
  CHECK(close(softplus(-200.0), std::exp(-200.0), 1e-15));
  CHECK(softplus(700.0) == 700.0);
}

TEST_CASE("the slope of softplus is the logistic function, to full relative accuracy in both tails") {
  for (const double x : {-300.0, -40.0, -3.0, -0.1, 0.0, 0.1, 3.0, 40.0, 300.0}) {
    CAPTURE(x);
    const double logistic = x < 0.0 ? std::exp(x) / (1.0 + std::exp(x)) : 1.0 / (1.0 + std::exp(-x));
    CHECK(close(softplus(seed<1>(x, 0)).derivative[0], logistic, 1e-15));
  }
}

TEST_CASE("a softplus difference is the difference of two softplus") {
  Draw draw(11);
  for (int i = 0; i < 200; ++i) {
    const double width = draw.log_uniform(0.01, 2.0);
    const double x = draw.uniform(-10.0, 10.0) * width;
    const double y = draw.uniform(-10.0, 10.0) * width;
    CAPTURE(width);
    CAPTURE(x);
    CAPTURE(y);
    const double direct = width * (softplus(x / width) - softplus(y / width));
    CHECK(std::abs(softplus_difference(x, y, width, 1.0 / width) - direct) <= 1e-14 * width * 10.0);
    check_derivatives([width](const auto& a, const auto& b) { return softplus_difference(a, b, width, 1.0 / width); },
                      x, y);
    const SoftplusEnd<double> end = softplus_end(y, 1.0 / width);
    CHECK(softplus_difference(x, end, width, 1.0 / width) == softplus_difference(x, y, width, 1.0 / width));
    check_derivatives([&](const auto& a) { return softplus_difference(a, end, width, 1.0 / width); }, x);
  }
}

TEST_CASE("a softplus difference of opposite arguments is the argument itself, to the last bit") {
  Draw draw(12);
  for (int i = 0; i < 200; ++i) {
    const double width = draw.log_uniform(1e-3, 2.0);
    const double x = draw.uniform(-20.0, 20.0);
    CAPTURE(width);
    CAPTURE(x);
    CHECK(softplus_difference(x, -x, width, 1.0 / width) == x);
  }
}

TEST_CASE("the limited exponential is exp up to its joint and its tangent beyond, value and slope continuous") {
  CHECK(limited_exp(-3.0) == std::exp(-3.0));
  CHECK(limited_exp(50.0) == std::exp(50.0));
  CHECK(limited_exp(53.0) == gateswing_test::relative(4.0 * std::exp(50.0), 1e-15));
  const auto below = limited_exp(seed<1>(50.0 - 1e-9, 0));
  const auto above = limited_exp(seed<1>(50.0 + 1e-9, 0));
  CHECK(close(below.value, above.value, 1e-8));
  CHECK(close(below.derivative[0], above.derivative[0], 1e-8));
  for (const double x : {-20.0, 0.3, 49.0, 51.0, 80.0}) {
    CAPTURE(x);
    check_derivatives([](const auto& a) { return limited_exp(a); }, x);
  }
}

TEST_CASE("a bounded number never passes its limit, and its slope (1 + (x/limit)^2)^-3/2 keeps its digits far beyond") {
  CHECK(bounded(-7.5, 0.0) == -7.5);
  for (const double x : {-1e6, -20.0, -0.3, 0.0, 0.3, 20.0, 1e6}) {
    CAPTURE(x);
    const auto result = bounded(seed<1>(x, 0), 0.5);
    CHECK(std::abs(result.value) <= 2.0);
    CHECK(close(result.value, x / std::sqrt(1.0 + 0.25 * x * x), 1e-15));
    CHECK(close(result.derivative[0], std::pow(1.0 + 0.25 * x * x, -1.5), 1e-14));
    if (std::abs(x) < 100.0) check_derivatives([](const auto& a) { return bounded(a, 0.5); }, x);
  }
}

TEST_CASE("the kinked halves of a number add up to it, and so do their slopes, at the kink too") {
  for (const double x : {-2.5, 0.0, 3.5}) {
    CAPTURE(x);
    const auto positive = positive_part(seed<1>(x, 0));
    const auto negative = negative_part(seed<1>(x, 0));
    CHECK(positive.value >= 0.0);
    CHECK(negative.value <= 0.0);
    CHECK(positive.value + negative.value == x);
    CHECK(positive.derivative[0] + negative.derivative[0] == 1.0);
  }
}

TEST_CASE("the smooth functions stay finite at enormous arguments and pass a NaN on") {
  check_finite_and_honest<1>([](const auto& x) { return softplus(x); });
  check_finite_and_honest<1>([](const auto& x) { return limited_exp(x); });
  check_finite_and_honest<2>([](const auto& x, const auto& y) { return softplus_difference(x, y, 0.01, 100.0); });
  check_finite_and_honest<1>([](const auto& x) { return bounded(x, 100.0); });
  check_finite_and_honest<1>([](const auto& x) { return positive_part(x); });
  check_finite_and_honest<1>([](const auto& x) { return negative_part(x); });
}

}  // namespace
}  // namespace gateswing::device::test
