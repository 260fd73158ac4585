// No step of a run takes memory: a run of many steps takes as much as one of few.
#include <doctest/doctest.h>

#include <vector>

#include "failing_memory.h"
#include "gateswing/simulate/lane_runs.h"
#include "gateswing/study/low_side_run.h"
#include "network/example_cell.h"

namespace gateswing::study::test {
namespace {

constexpr double begin_time = -20e-9;
constexpr double end_time = 2.5e-6;

/// Allocations of one run, with all the memory of the runs before it, and its steps.
struct Taken {
  long allocations;
  long steps;
};

Taken taken_by(LowSideRun& run, double tolerance, bool records, const lanes::Kernel* kernel) {
  run.recorder().clear();
  REQUIRE(run.simulator().start(begin_time));
  std::vector<simulate::LaneRun> runs{{&run.simulator(), end_time, records ? &run.recorder() : nullptr, {}}};
  const long before = gateswing_test::allocations();
  simulate::advance_all(runs, {.relative_tolerance = tolerance}, 1, kernel);
  const long after = gateswing_test::allocations();
  REQUIRE(runs[0].interval.status == integrate::Status::success);
  return {after - before, runs[0].interval.statistics.steps};
}

void check_no_step_allocates(const lanes::Kernel* kernel) {
  const network::LowSideCell cell = network::test::example_cell();
  LowSideRun run(cell, 5.0);
  run.set_command(network::gate_command(std::vector<network::Pulse>{{0.0, 1.2e-6}}, cell.driver.timing));
  for (const bool records : {false, true}) {
    CAPTURE(records);
    taken_by(run, 1e-7, records, kernel);  // leaves room for the longest record
    const Taken many = taken_by(run, 1e-7, records, kernel);
    const Taken few = taken_by(run, 1e-4, records, kernel);
    CHECK(many.steps > few.steps + 100);
    CHECK(many.allocations == few.allocations);
  }
}

TEST_CASE("no step of a run takes memory, recorded or not, scalar or on a lane") {
  check_no_step_allocates(nullptr);
  for (const lanes::Kernel& kernel : lanes::kernels()) {
    CAPTURE(kernel.instructions);
    check_no_step_allocates(&kernel);
  }
}

}  // namespace
}  // namespace gateswing::study::test
