// The course between the steps that the error test chose.
#include <doctest/doctest.h>

#include <algorithm>

#include "gateswing/integrate/integrate.h"
#include "integrate/problems/analytic.h"

namespace gateswing::integrate {

namespace {

using problems::KapsRentrop;
using System = problems::ProblemSystem<KapsRentrop>;
using Vector = System::Vector;

/// Largest error inside the steps of a run over [0, 3].
template <class Tableau>
double worst_between_steps(double tolerance) {
  const Settings settings{.relative_tolerance = tolerance, .absolute_tolerance = tolerance};
  System system;
  Vector x = System::vector(KapsRentrop::exact(0.0));
  StepMemory memory;
  double worst = 0.0;
  const auto outcome = integrate<Tableau>(
      system, x, 0.0, 3.0, Vector::Ones(), settings, memory, [&](const DenseStep<Vector>& step, const auto&) {
        CHECK(step.value(0.0) == step.start_state);
        CHECK(step.value(1.0) == step.end_state);
        for (double theta = 0.1; theta < 0.95; theta += 0.1) {
          const Vector exact = System::vector(KapsRentrop::exact(step.start_time + theta * step.length()));
          worst = std::max(worst, (step.value(theta) - exact).cwiseAbs().maxCoeff());
        }
      });
  REQUIRE(outcome.status == Status::success);
  return worst;
}

}  // namespace

TEST_CASE_TEMPLATE("the error between steps falls with the tolerance", T, Rodas4, Rodas4P, Rodas5P) {
  double previous = 1.0;
  for (const double tolerance : {1e-4, 1e-6, 1e-8}) {
    const double worst = worst_between_steps<T>(tolerance);
    CAPTURE(tolerance);
    CHECK(worst < 2.0 * tolerance);
    CHECK(worst < 0.1 * previous);
    previous = worst;
  }
}

}  // namespace gateswing::integrate
