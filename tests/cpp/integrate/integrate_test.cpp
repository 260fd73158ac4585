// How integrate behaves: ends, failures, limits, cancelling, work.
#include "gateswing/integrate/integrate.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <limits>
#include <random>
#include <stdexcept>
#include <vector>

#include "integrate/problems/odd.h"
#include "integrate/problems/van_der_pol.h"
#include "relative.h"

namespace gateswing::integrate {

namespace {

using problems::ProblemSystem;
using problems::ScalarSystem;
using problems::VanDerPol;

using Scalar = Eigen::Matrix<double, 1, 1>;

constexpr auto nobody = [](const auto&, const auto&) {};
constexpr auto oscillation = [](double, double t) { return std::cos(20.0 * t); };

/// x' = 100 (cos t - x), with t counted in a unit of `second` instead of seconds.
struct ForcedRelaxation {
  using Real = double;
  static constexpr int size = 1;
  static constexpr int quadratures = 0;
  using Vector = Scalar;
  using Matrix = Scalar;
  using Integrals = Eigen::Matrix<double, 0, 1>;

  double second;

  void linearize(double t, const Vector&, Matrix& mass, Matrix& jacobian, Vector& time_derivative) const {
    mass << second;
    jacobian << -100.0;
    time_derivative << -100.0 * std::sin(t / second) / second;
  }
  void residual(double t, const Vector& x, Vector& r, Integrals&) const { r << 100.0 * (std::cos(t / second) - x[0]); }
};

template <class System, class Observer>
Outcome run(System& system, Scalar& x, double t0, double t1, const Settings& settings, const Observer& observer) {
  StepMemory memory;
  return integrate<Rodas5P>(system, x, t0, t1, Scalar(1.0), settings, memory, observer);
}

}  // namespace

TEST_CASE("the end time is met to the last bit, by a step no shorter than half the one before") {
  std::mt19937 random(20240607);
  std::uniform_real_distribution<double> uniform(0.0, 1.0);
  for (int trial = 0; trial < 200; ++trial) {
    const double begin = uniform(random) * 1e-3, end = begin + uniform(random) + 1e-3;
    CAPTURE(begin);
    CAPTURE(end);
    ScalarSystem system{oscillation};
    Scalar x(0.0);
    std::vector<double> lengths;
    double last_end = begin;
    const Outcome outcome = run(system, x, begin, end, {}, [&](const DenseStep<Scalar>& step, const auto&) {
      CHECK(step.start_time == last_end);
      last_end = step.end_time;
      lengths.push_back(step.length());
    });
    CHECK(outcome.status == Status::success);
    CHECK(outcome.time == end);
    CHECK(last_end == end);
    if (lengths.size() > 1) CHECK(lengths.back() > 0.49 * lengths[lengths.size() - 2]);
    CHECK(std::abs(x[0] - (std::sin(20.0 * end) - std::sin(20.0 * begin)) / 20.0) < 2e-6);
  }
}

TEST_CASE("a segment of no length is done without a step") {
  ScalarSystem system{oscillation};
  Scalar x(3.0);
  const Outcome outcome = run(system, x, 2.0, 2.0, {}, nobody);
  CHECK(outcome.status == Status::success);
  CHECK(outcome.time == 2.0);
  CHECK(outcome.statistics.steps == 0);
  CHECK(x[0] == 3.0);
}

TEST_CASE("a segment as short as the spacing of numbers is one step") {
  ScalarSystem system{oscillation};
  Scalar x(0.0);
  const double end = std::nextafter(1.0, 2.0);
  const Outcome outcome = run(system, x, 1.0, end, {}, nobody);
  CHECK(outcome.status == Status::success);
  CHECK(outcome.time == end);
  CHECK(outcome.statistics.steps == 1);
}

TEST_CASE("a stage outside the domain of the model is a shorter step, not the end") {
  // Falls towards 0 and never reaches it; long steps try the square root of a negative number.
  ScalarSystem system{[](double x, double) { return -std::sqrt(x) * x; }};
  Scalar x(1.0);
  const Outcome outcome = run(system, x, 0.0, 1e3, {.initial_step = 500.0}, nobody);
  CHECK(outcome.status == Status::success);
  CHECK(outcome.statistics.rejections > 0);
  CHECK(x[0] == gateswing_test::relative(1.0 / (501.0 * 501.0), 1e-4));
}

TEST_CASE("a model that stops giving numbers ends the run with the last good state") {
  for (const double bad : {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity()}) {
    ScalarSystem system{[bad](double x, double t) { return t > 0.5 ? bad : -x; }};
    Scalar x(1.0);
    const Outcome outcome = run(system, x, 0.0, 1.0, {}, nobody);
    CHECK(outcome.status == Status::non_finite);
    CHECK(outcome.time == gateswing_test::relative(0.5, 1e-5));
    CHECK(x[0] == gateswing_test::relative(std::exp(-outcome.time), 1e-5));
  }
}

TEST_CASE("a model without a number at the start ends at once, also at time zero") {
  for (const double begin : {0.0, 1.0}) {
    ScalarSystem system{[](double, double) { return std::numeric_limits<double>::quiet_NaN(); }};
    Scalar x(1.0);
    const Outcome outcome = run(system, x, begin, 2.0, {}, nobody);
    CHECK(outcome.status == Status::non_finite);
    CHECK(outcome.time == begin);
    CHECK(outcome.statistics.rejections < 600);
    CHECK(x[0] == 1.0);
  }
}

TEST_CASE("a state that nothing determines is singular") {
  problems::Undetermined system;
  Scalar x(1.0);
  CHECK(run(system, x, 0.0, 1.0, {}, nobody).status == Status::singular);
  CHECK(x[0] == 1.0);
}

// There h is a few spacings of t, and a rejected step must not be rounded back to the length it had.
TEST_CASE("a solution that ends before the end time stops at its pole") {
  ScalarSystem system{[](double x, double) { return x * x; }};
  Scalar x(1.0);
  const Outcome outcome = run(system, x, 0.0, 2.0, {}, nobody);
  CAPTURE(sentence(outcome.status));
  CHECK((outcome.status == Status::step_too_small || outcome.status == Status::non_finite));
  CHECK(outcome.time == gateswing_test::relative(1.0, 1e-5));
  CHECK(outcome.statistics.rejections < 200);
}

TEST_CASE("a minimum step that the error test cannot meet ends the run") {
  ScalarSystem system{oscillation};
  Scalar x(0.0);
  const Outcome outcome =
      run(system, x, 0.0, 1.0,
          {.relative_tolerance = 1e-10, .absolute_tolerance = 1e-10, .initial_step = 0.1, .minimum_step = 0.1}, nobody);
  CHECK(outcome.status == Status::step_too_small);
  CHECK(outcome.time == 0.0);
  CHECK(outcome.statistics.rejections == 1);
}

TEST_CASE("a maximum step bounds every step") {
  ScalarSystem system{[](double, double) { return 1.0; }};
  Scalar x(0.0);
  double longest = 0.0;
  const Outcome outcome =
      run(system, x, 0.0, 1.0, {.maximum_step = 0.03},
          [&](const DenseStep<Scalar>& step, const auto&) { longest = std::max(longest, step.length()); });
  CHECK(outcome.status == Status::success);
  CHECK(longest <= 0.03 * (1.0 + 1e-12));
  CHECK(outcome.statistics.steps == 34);
}

TEST_CASE("a linear course is one step") {
  ScalarSystem system{[](double, double) { return 1.0; }};
  Scalar x(0.0);
  CHECK(run(system, x, 0.0, 1.0, {}, nobody).statistics.steps == 1);
  CHECK(x[0] == gateswing_test::relative(1.0, 1e-14));
}

TEST_CASE("attempts beyond the limit end the run with the last good state") {
  ScalarSystem system{oscillation};
  Scalar x(0.0);
  const Outcome outcome = run(system, x, 0.0, 10.0, {.maximum_steps = 20}, nobody);
  CHECK(outcome.status == Status::step_limit);
  CHECK(outcome.statistics.steps + outcome.statistics.rejections == 20);
  CHECK(outcome.time > 0.0);
  CHECK(outcome.time < 10.0);
  CHECK(std::abs(x[0] - std::sin(20.0 * outcome.time) / 20.0) < 1e-6);
}

TEST_CASE("an observer that returns false cancels after the step it saw") {
  ScalarSystem system{oscillation};
  Scalar x(0.0);
  int calls = 0;
  double seen = 0.0;
  const Outcome outcome = run(system, x, 0.0, 10.0, {}, [&](const DenseStep<Scalar>& step, const auto&) {
    seen = step.end_time;
    return ++calls < 3;
  });
  CHECK(outcome.status == Status::cancelled);
  CHECK(calls == 3);
  CHECK(outcome.time == seen);
  CHECK(outcome.statistics.steps == 3);
}

TEST_CASE("a rejected step is tried again without a new linearization") {
  ScalarSystem system{oscillation};
  Scalar x(0.0);
  const Outcome outcome = run(system, x, 0.0, 1.0, {.initial_step = 1.0}, nobody);
  const Statistics& work = outcome.statistics;
  constexpr long stages = Rodas5P::stages;
  CHECK(work.rejections > 0);
  CHECK(system.linearizations == work.steps);
  CHECK(work.linearizations == work.steps);
  CHECK(work.factorisations == work.steps + work.rejections);
  CHECK(system.residuals == stages * work.steps + (stages - 1) * work.rejections);
  CHECK(work.residual_evaluations == system.residuals);
}

TEST_CASE("a call that continues another takes up its step, one that restarts does not") {
  ScalarSystem system{oscillation};
  Scalar x(0.0);
  StepMemory memory;
  std::vector<double> lengths;
  const auto record = [&](const DenseStep<Scalar>& step, const auto&) { lengths.push_back(step.length()); };
  const auto on = [&](double t0, double t1) { integrate<Rodas5P>(system, x, t0, t1, Scalar(1.0), {}, memory, record); };
  on(0.0, 1.0);
  const double remembered = memory.next_step;
  CHECK(remembered > 0.0);
  lengths.clear();
  on(1.0, 2.0);
  CHECK(lengths.front() == gateswing_test::relative(remembered, 1e-12));
  const double memory_before_restart = memory.next_step;
  memory.restart();
  lengths.clear();
  on(2.0, 3.0);
  CHECK(std::abs(lengths.front() / memory_before_restart - 1.0) > 0.01);
}

TEST_CASE("a call cut short by its end time remembers the step it would have taken") {
  ScalarSystem system{[](double x, double) { return -x; }};
  Scalar x(1.0);
  StepMemory memory{.next_step = 0.05};
  integrate<Rodas5P>(system, x, 0.0, 1e-6, Scalar(1.0), {}, memory, nobody);
  CHECK(memory.next_step >= 0.05);
}

// Without this the estimate of the first step would depend on the unit of time.
TEST_CASE("the same course in another unit of time takes the same steps") {
  constexpr double unit = 1.0 / (1 << 30);
  std::array<std::vector<double>, 2> lengths;
  std::array<double, 2> end{};
  for (const std::size_t scaled : {0u, 1u}) {
    const double second = scaled == 1 ? unit : 1.0;
    ForcedRelaxation system{second};
    Scalar x(0.0);
    run(system, x, 0.0, 3.0 * second, {},
        [&](const DenseStep<Scalar>& step, const auto&) { lengths[scaled].push_back(step.length() / second); });
    end[scaled] = x[0];
  }
  CHECK(lengths[0] == lengths[1]);
  CHECK(end[0] == end[1]);
}

TEST_CASE("the estimated first step is accepted and not timid") {
  ProblemSystem<VanDerPol> system;
  for (const double tolerance : {1e-3, 1e-6, 1e-9}) {
    CAPTURE(tolerance);
    const Settings settings{.relative_tolerance = tolerance, .absolute_tolerance = tolerance};
    ProblemSystem<VanDerPol>::Vector x(2.0, 0.0);
    StepMemory memory;
    std::vector<double> lengths;
    const Outcome outcome =
        integrate<Rodas5P>(system, x, 0.0, 1e-2, ProblemSystem<VanDerPol>::Vector(1.0, 1e-3), settings, memory,
                           [&](const auto& step, const auto&) { lengths.push_back(step.length()); });
    CHECK(outcome.statistics.rejections == 0);
    REQUIRE(lengths.size() > 3);
    CHECK(lengths[1] < 6.5 * lengths[0]);
    CHECK(lengths[3] < 20.0 * lengths[0]);
  }
}

TEST_CASE("bad input is refused in words") {
  ScalarSystem system{oscillation};
  StepMemory memory;
  const auto call = [&](double x0, double t0, double t1, double scale, const Settings& settings) {
    Scalar x(x0);
    integrate<Rodas5P>(system, x, t0, t1, Scalar(scale), settings, memory, nobody);
  };
  constexpr double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK_NOTHROW(call(0.0, 0.0, 1.0, 1.0, {}));
  CHECK_THROWS_AS(call(nan, 0.0, 1.0, 1.0, {}), std::invalid_argument);
  CHECK_THROWS_AS(call(0.0, 1.0, 0.5, 1.0, {}), std::invalid_argument);
  CHECK_THROWS_AS(call(0.0, 0.0, nan, 1.0, {}), std::invalid_argument);
  CHECK_THROWS_AS(call(0.0, 0.0, 1.0, 0.0, {}), std::invalid_argument);
  CHECK_THROWS_AS(call(0.0, 0.0, 1.0, nan, {}), std::invalid_argument);
  CHECK_THROWS_AS(call(0.0, 0.0, 1.0, 1.0, {.relative_tolerance = 0.0}), std::invalid_argument);
  CHECK_THROWS_AS(call(0.0, 0.0, 1.0, 1.0, {.relative_tolerance = 1.0}), std::invalid_argument);
  CHECK_THROWS_AS(call(0.0, 0.0, 1.0, 1.0, {.absolute_tolerance = 0.0}), std::invalid_argument);
  CHECK_THROWS_AS(call(0.0, 0.0, 1.0, 1.0, {.initial_step = -1.0}), std::invalid_argument);
  CHECK_THROWS_AS(call(0.0, 0.0, 1.0, 1.0, {.minimum_step = nan}), std::invalid_argument);
  CHECK_THROWS_AS(call(0.0, 0.0, 1.0, 1.0, {.minimum_step = 2.0, .maximum_step = 1.0}), std::invalid_argument);
  CHECK_THROWS_AS(call(0.0, 0.0, 1.0, 1.0, {.maximum_steps = 0}), std::invalid_argument);
}

}  // namespace gateswing::integrate
