// What the studies of single transients share, on its own.
#include "gateswing/study/transient.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "gateswing/study/low_side_run.h"
#include "network/example_cell.h"
#include "network/support.h"
#include "relative.h"

namespace gateswing::study::test {
namespace {

using network::test::refusal;

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

TEST_CASE("a lead-in is recorded, and no part of the ledger") {
  const network::LowSideCell cell = network::test::plain_cell();
  LowSideRun run(cell, 5.0);
  TransientRun transient(run, -1e-6, {});
  REQUIRE(transient.lead_in(0.0));
  CHECK(transient.result().ledger.entries.empty());
  REQUIRE(transient.advance(1e-6));
  REQUIRE(transient.advance(2e-6));
  const Transient in_two = transient.result();
  CHECK(in_two.waveform.begin() == -1e-6);
  CHECK(in_two.waveform.end() == 2e-6);

  LowSideRun all_of_it(cell, 5.0);
  TransientRun longer(all_of_it, -1e-6, {});
  longer.advance(2e-6);
  const double counted = in_two.ledger.throughput;
  CHECK(counted > 0.0);
  CHECK(longer.result().ledger.throughput > 1.4 * counted);
}

TEST_CASE("a run that fails stays where it is and says why, without a ledger") {
  LowSideRun run(network::test::plain_cell(), 5.0);
  run.set_command(network::gate_command(std::vector<network::Pulse>{{0.0, 1e-6}}, {}));
  TransientRun transient(run, 0.0, {.maximum_steps = 5});
  CHECK_FALSE(transient.advance(1e-6));
  const double reached = run.waveform().end();
  CHECK_FALSE(transient.advance(2e-6));
  const Transient found = transient.result();
  CHECK(found.status == integrate::Status::step_limit);
  CHECK(found.message == integrate::sentence(found.status));
  CHECK(found.waveform.end() == reached);
  CHECK(found.ledger.entries.empty());
}

TEST_CASE("a study looks for as long as is stated, or as the edge takes") {
  CHECK(look_at_edge(1e-8) == 1e-6);
  CHECK(look_at_edge(1e-6) == 5.0 * 1e-6);
  CHECK(time_or(0.0, 3e-6, "the on-time") == 3e-6);
  CHECK(time_or(2e-6, 3e-6, "the on-time") == 2e-6);
  CHECK(refusal([] { time_or(-1e-6, 3e-6, "the on-time"); }) ==
        "the on-time [s], 0 to have it chosen, must be a finite number, zero or positive, got -1e-06");
}

TEST_CASE("before the first command the load current changes by no more than a thousandth") {
  const network::Load load{1.0, 10e-6};
  CHECK(look_before(load, 4.0, 400.0) == gateswing_test::relative(1e-3 * 4.0 * 10e-6 / 400.0, 1e-12));
  CHECK(look_before(load, 4.0, 1e-3) == 1e-6);
  CHECK(look_before(load, 0.0, 400.0) == 1e-6);
}

TEST_CASE("a load that is a constant current takes no other") {
  CHECK_FALSE(held_current({1.0, 1e-6}, 5.0).has_value());
  CHECK(held_current({0.0, 0.0, 4.0}, 0.0) == 4.0);
  CHECK(held_current({0.0, 0.0, 4.0}, 4.0) == 4.0);
  CHECK(refusal([] { held_current({0.0, 0.0, 4.0}, 5.0); }) ==
        "the current [A] asked for, of a load that is a constant current, must be left out or that of the load, 4, got "
        "5");
  CHECK(refusal([] { held_current({1.0, 1e-6}, nan); }).find("got nan") != std::string::npos);
}

}  // namespace
}  // namespace gateswing::study::test
