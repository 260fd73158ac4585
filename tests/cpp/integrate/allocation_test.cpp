// No memory is taken while integrating.
#include <doctest/doctest.h>

#include <vector>

#include "failing_memory.h"
#include "gateswing/integrate/consistent.h"
#include "gateswing/integrate/integrate.h"
#include "gateswing/integrate/replay.h"
#include "integrate/problems/analytic.h"

namespace gateswing::integrate {

TEST_CASE_TEMPLATE("integrating takes no memory", T, Rodas4, Rodas4P, Rodas5P) {
  using System = problems::ProblemSystem<problems::CoupledCapacitances>;
  System system;
  System::Vector x(2.0, 1.0, 1.0);
  System::Integrals integrals = System::Integrals::Zero();
  StepMemory memory;
  const std::vector ends{10.001, 10.002, 10.004};
  const long before = gateswing_test::allocations();
  REQUIRE(before > 0);
  const bool consistent = make_consistent(system, 0.0, x, System::Vector::Ones());
  const Outcome outcome = integrate<T>(system, x, 0.0, 10.0, System::Vector::Ones(), {}, memory,
                                       [&](const auto&, const auto& increment) { integrals += increment; });
  const Status repeated = replay<T>(system, x, 10.0, ends, integrals, [] { return true; }).status;
  const long taken = gateswing_test::allocations() - before;
  CHECK(repeated == Status::success);
  CHECK(consistent);
  CHECK(outcome.status == Status::success);
  CHECK(outcome.statistics.steps > 20);
  CHECK(taken == 0);
}

}  // namespace gateswing::integrate
