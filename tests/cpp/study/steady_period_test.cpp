// The record of a steady period: what it counts.
#include "gateswing/study/steady_period.h"

#include <doctest/doctest.h>

#include "gateswing/study/switched_cell.h"
#include "network/example_cell.h"

namespace gateswing::study::test {
namespace {

TEST_CASE("the work of a record is all of it, that behind the period too") {
  const simulate::Settings settings{.relative_tolerance = 1e-4};
  const SwitchedCell switched(network::test::plain_cell(), 200e3, 0.4);
  const simulate::PeriodicState steady =
      simulate::find_periodic_state(switched.circuit(), {.tolerance = 1e-3, .maximum_periods = 100}, settings);
  REQUIRE(steady.status == integrate::Status::success);
  const auto steps_to = [&](double periods) {
    LowSideRun run = switched.run(steady.start);
    SteadyPeriod result = found_period(steady, 200e3, run.waveform());
    const auto ledger = record_period(run.simulator(), run.recorder(), switched.circuit(), steady,
                                      periods * switched.period(), settings, result);
    REQUIRE(ledger.has_value());
    return result.statistics.steps - steady.statistics.steps;
  };
  const long one = steps_to(1.0);
  CHECK(one > 0);
  CHECK(steps_to(1.3) > one);
}

}  // namespace
}  // namespace gateswing::study::test
