// Repeated steps: the same end from the same start, and differences that are derivatives.
#include <doctest/doctest.h>

#include <vector>

#include "gateswing/integrate/integrate.h"
#include "gateswing/integrate/replay.h"
#include "integrate/problems/analytic.h"

namespace gateswing::integrate {
namespace {

using System = problems::ProblemSystem<problems::CoupledCapacitances>;
using Vector = System::Vector;

constexpr double end_time = 10.0;
const auto go_on = [] { return true; };

struct Recorded {
  Vector end;
  System::Integrals integrals = System::Integrals::Zero();
  std::vector<double> ends;
};

Recorded run(const Vector& start, const Settings& settings) {
  System system;
  Recorded result{start, System::Integrals::Zero(), {}};
  StepMemory memory;
  const Outcome outcome = integrate<Rodas5P>(system, result.end, 0.0, end_time, Vector::Ones(), settings, memory,
                                             [&](const DenseStep<Vector>& step, const System::Integrals& increment) {
                                               result.ends.push_back(step.end_time);
                                               result.integrals += increment;
                                             });
  REQUIRE(outcome.status == Status::success);
  return result;
}

Vector repeated(const Vector& start, const Recorded& recorded) {
  System system;
  Vector x = start;
  System::Integrals integrals = System::Integrals::Zero();
  const Outcome outcome = replay<Rodas5P>(system, x, 0.0, recorded.ends, integrals, go_on);
  REQUIRE(outcome.status == Status::success);
  CHECK(outcome.time == end_time);
  CHECK(outcome.statistics.steps == static_cast<long>(recorded.ends.size()));
  return x;
}

const Vector begin(2.0, 1.0, 1.0);

TEST_CASE("the same start ends in the same state, to the last bit") {
  const Recorded recorded = run(begin, {});
  CHECK(repeated(begin, recorded) == recorded.end);
  System system;
  Vector x = begin;
  System::Integrals integrals = System::Integrals::Zero();
  replay<Rodas5P>(system, x, 0.0, recorded.ends, integrals, go_on);
  CHECK(integrals == recorded.integrals);
}

TEST_CASE("differences of repeated runs are derivatives where those of adaptive runs are the noise of their steps") {
  const Settings coarse{.relative_tolerance = 1e-4, .absolute_tolerance = 1e-4};
  const Settings fine{.relative_tolerance = 1e-11, .absolute_tolerance = 1e-11};
  const Recorded recorded = run(begin, coarse);
  const double step = 1e-6;
  const Vector moved = begin + step * Vector::UnitX();
  const Vector by_repetition = (repeated(moved, recorded) - recorded.end) / step;
  const Vector wide = 1e-3 * Vector::UnitX();
  const Vector exact = (run(begin + wide, fine).end - run(begin - wide, fine).end) / 2e-3;
  // The map of the coarse steps is itself off by about its tolerance.
  CHECK((by_repetition - exact).norm() < 5e-3 * exact.norm());
}

TEST_CASE("whoever is asked after each step can end the run there") {
  System system;
  Vector x = begin;
  System::Integrals integrals = System::Integrals::Zero();
  const Recorded recorded = run(begin, {});
  int asked = 0;
  const Outcome outcome = replay<Rodas5P>(system, x, 0.0, recorded.ends, integrals, [&] { return ++asked < 3; });
  CHECK(outcome.status == Status::cancelled);
  CHECK(outcome.time == recorded.ends[2]);
  CHECK(outcome.statistics.steps == 3);
}

TEST_CASE("a step that has no finite end stops the run in the state before it") {
  System system;
  Vector x = begin;
  System::Integrals integrals = System::Integrals::Zero();
  const Recorded recorded = run(begin, {});
  std::vector<double> ends(recorded.ends.begin(), recorded.ends.begin() + 3);
  ends.push_back(std::numeric_limits<double>::quiet_NaN());
  const Outcome outcome = replay<Rodas5P>(system, x, 0.0, ends, integrals, go_on);
  CHECK(outcome.status == Status::non_finite);
  CHECK(outcome.time == ends[2]);
  CHECK(x.allFinite());
}

}  // namespace
}  // namespace gateswing::integrate
