// MOSFETs in parallel: equal ones share equally, the better one takes more, and all of them carry the load.
#include "gateswing/study/current_sharing.h"

#include <doctest/doctest.h>

#include <cmath>
#include <stdexcept>

#include "network/example_cell.h"

namespace gateswing::study::test {
namespace {

const DoublePulseRequest request{.current = 8.0, .on_time = 4e-6, .off_time = 2e-6};

CurrentSharing shared(const device::Mosfet<>& second) {
  network::LowSideCell cell = network::test::example_cell();
  cell.load = {0.0, 0.0, 8.0};
  return current_sharing({cell, {second}}, request, {.relative_tolerance = 1e-6});
}

TEST_CASE("two equal MOSFETs do the same, each with half of the load current") {
  const CurrentSharing found = shared(network::test::example_mosfet());
  REQUIRE(found.pulse.status == integrate::Status::success);
  REQUIRE(found.mosfets.size() == 2);
  const SharedFigures& first = found.mosfets[0];
  const SharedFigures& second = found.mosfets[1];
  CHECK(first.on_current == doctest::Approx(4.0).epsilon(1e-3));
  CHECK(second.on_current == doctest::Approx(first.on_current).epsilon(1e-5));
  CHECK(second.turn_on_energy == doctest::Approx(first.turn_on_energy).epsilon(1e-3));
  CHECK(second.turn_off_energy == doctest::Approx(first.turn_off_energy).epsilon(1e-3));
  CHECK(second.turn_on_time == doctest::Approx(first.turn_on_time).epsilon(1e-4));
}

TEST_CASE("of two MOSFETs the one with the lower threshold turns on first, off last, and takes more heat") {
  device::Mosfet<> eager = network::test::example_mosfet();
  eager.channel.threshold_voltage -= 0.5;
  const CurrentSharing found = shared(eager);
  REQUIRE(found.pulse.status == integrate::Status::success);
  const SharedFigures& usual = found.mosfets[0];
  const SharedFigures& early = found.mosfets[1];
  CHECK(usual.on_current + early.on_current == doctest::Approx(8.0).epsilon(1e-3));
  CHECK(early.turn_on_time < usual.turn_on_time);
  CHECK(early.turn_off_time > usual.turn_off_time);
  CHECK(early.turn_on_energy + early.turn_off_energy > usual.turn_on_energy + usual.turn_off_energy);
}

TEST_CASE("there are names for three MOSFETs and no more") {
  CHECK(network::mosfet_prefix(0).empty());
  CHECK(network::mosfet_prefix(1) != network::mosfet_prefix(2));
  CHECK_THROWS_AS(network::mosfet_prefix(3), std::invalid_argument);
  const network::ParallelCell four{network::test::example_cell(), {3, network::test::example_mosfet()}};
  CHECK_THROWS_AS(network::build(four, 1.0), std::invalid_argument);
}

}  // namespace
}  // namespace gateswing::study::test
