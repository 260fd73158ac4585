// What one step keeps exactly: linear invariants, and the balance between a state and the integral of its own rate.
#include <doctest/doctest.h>

#include <cmath>

#include "gateswing/integrate/integrate.h"
#include "integrate/problems/hires.h"
#include "integrate/problems/robertson.h"

namespace gateswing::integrate {

namespace {

/// HIRES with its own right-hand side as integrand: energy and charge ledgers rest on this balance.
struct LedgeredHires : problems::Hires {
  static constexpr int quadratures = size;
  template <class T>
  problems::States<T, size> integrand(const problems::States<T, size>& y, const T& t) const {
    return rhs(y, t);
  }
};

}  // namespace

TEST_CASE_TEMPLATE("the integral of a rate is the change of its state, to rounding, at any tolerance", T, Rodas4,
                   Rodas4P, Rodas5P) {
  using System = problems::ProblemSystem<LedgeredHires>;
  for (const double tolerance : {1e-2, 1e-6}) {
    System system;
    System::Vector x = System::vector(LedgeredHires::start);
    const System::Vector start = x;
    System::Vector integral = System::Vector::Zero();
    StepMemory memory;
    const Settings settings{.relative_tolerance = tolerance, .absolute_tolerance = tolerance};
    const Outcome outcome =
        integrate<T>(system, x, 0.0, LedgeredHires::end_time, System::Vector::Constant(1e-3), settings, memory,
                     [&](const auto&, const System::Integrals& increment) { integral += increment; });
    CHECK(outcome.status == Status::success);
    CHECK((x - start - integral).cwiseAbs().maxCoeff() < 1e-11);
  }
}

TEST_CASE_TEMPLATE("the sum of Robertson's concentrations stays one", T, Rodas4, Rodas4P, Rodas5P) {
  using System = problems::ProblemSystem<problems::Robertson>;
  System system;
  System::Vector x = System::vector(problems::Robertson::start);
  StepMemory memory;
  const Settings settings{.relative_tolerance = 1e-3, .absolute_tolerance = 1e-3};
  integrate<T>(system, x, 0.0, problems::Robertson::end_time, System::Vector(1e-6, 1e-12, 1e-6), settings, memory,
               [](const auto&, const auto&) {});
  CHECK(std::abs(x.sum() - 1.0) < 1e-11);
}

TEST_CASE("statuses have sentences of their own") {
  CHECK(sentence(Status::success) == "The integration reached its end time.");
  for (const Status a : {Status::success, Status::step_limit, Status::step_too_small, Status::non_finite,
                         Status::singular, Status::cancelled}) {
    CHECK(sentence(a).ends_with('.'));
    CHECK(sentence(a) != "Unknown status.");
    for (const Status b :
         {Status::step_limit, Status::step_too_small, Status::non_finite, Status::singular, Status::cancelled}) {
      if (a != b) CHECK(sentence(a) != sentence(b));
    }
  }
}

TEST_CASE("statistics add up") {
  Statistics sum{1, 2, 3, 4, 5};
  sum += {10, 20, 30, 40, 50};
  CHECK(sum.steps == 11);
  CHECK(sum.rejections == 22);
  CHECK(sum.residual_evaluations == 33);
  CHECK(sum.linearizations == 44);
  CHECK(sum.factorisations == 55);
}

}  // namespace gateswing::integrate
