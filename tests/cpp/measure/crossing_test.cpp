// Level crossings, and which of them belong to the transition.
#include "gateswing/measure/crossing.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <random>
#include <stdexcept>

#include "measure/piecewise.h"
#include "relative.h"

using namespace gateswing::measure;
using gateswing::waveform::Waveform;
using gateswing_test::Corners;
using gateswing_test::corners;
using gateswing_test::even_edges;
using gateswing_test::record;
using gateswing_test::relative;
using gateswing_test::uneven_edges;

namespace {

Waveform drawn(const Corners& shape) {
  return record({corners("v_ds", "V", shape)}, shape.times, 1);
}

}  // namespace

TEST_CASE("all crossings of a sine are found, with alternating directions, to the order of the record") {
  const auto w = record({{{"v", "V"}, [](double t) { return std::sin(t); }}}, uneven_edges(0.1, 20.0, 0.05), 4);
  const auto found = crossings(w, 0, 0.5, whole(w));
  REQUIRE(found.size() == 7);
  for (std::size_t i = 0; i < found.size(); ++i) {
    const double turn = 2.0 * std::numbers::pi * static_cast<double>(i / 2);
    const double angle = i % 2 == 0 ? std::numbers::pi / 6.0 : 5.0 * std::numbers::pi / 6.0;
    CHECK(found[i].time == relative(turn + angle, 1e-6));
    CHECK((found[i].direction == Direction::rising) == (i % 2 == 0));
  }
}

TEST_CASE("a bump inside one step crosses the level twice, though both ends of the step are below it") {
  const auto w = record({{{"v", "V"}, [](double t) { return 1.0 - t * t; }}}, {-2.0, 2.0}, 2);
  const auto found = crossings(w, 0, 0.75, whole(w));
  REQUIRE(found.size() == 2);
  CHECK(found[0].time == relative(-0.5, 1e-12));
  CHECK(found[1].time == relative(0.5, 1e-12));
}

TEST_CASE("first and last crossing look at one direction and at the window only") {
  const auto w = drawn({{0, 1, 2, 3, 4}, {0, 10, 0, 10, 0}});
  CHECK(first_crossing(w, 0, 5.0, Direction::rising, {0.0, 4.0}) == relative(0.5, 1e-9));
  CHECK(first_crossing(w, 0, 5.0, Direction::falling, {0.0, 4.0}) == relative(1.5, 1e-9));
  CHECK(first_crossing(w, 0, 5.0, Direction::rising, {0.6, 4.0}) == relative(2.5, 1e-9));
  CHECK(last_crossing(w, 0, 5.0, Direction::rising, {0.0, 4.0}) == relative(2.5, 1e-9));
  CHECK(last_crossing(w, 0, 5.0, Direction::falling, {0.0, 3.4}) == relative(1.5, 1e-9));
  CHECK_FALSE(first_crossing(w, 0, 5.0, Direction::falling, {1.6, 3.4}).has_value());
  CHECK_FALSE(last_crossing(w, 0, 11.0, Direction::rising, {0.0, 4.0}).has_value());
}

TEST_CASE("a level met exactly at a joint is crossed once") {
  for (std::size_t degree = 1; degree <= 4; ++degree) {
    const auto w = record({{{"v", "V"}, [](double t) { return 0.1 * t; }}}, even_edges(0.0, 30.0, 10), degree);
    for (int joint = 1; joint < 10; ++joint) {
      const auto found = crossings(w, 0, w.nodes(0, static_cast<std::size_t>(joint)).front(), whole(w));
      CAPTURE(degree);
      CAPTURE(joint);
      REQUIRE(found.size() == 1);
      CHECK(found[0].time == relative(3.0 * joint, 1e-9));
    }
  }
}

TEST_CASE("a jump across the level at a joint counts once, in the window that ends there and not in the one after") {
  Waveform w({{"v", "V"}}, 1);
  w.append_step(0.0, 1.0, std::vector{0.0, 0.0});
  w.append_step(1.0, 2.0, std::vector{5.0, 5.0});
  CHECK(first_crossing(w, 0, 2.0, Direction::rising, {0.0, 2.0}) == 1.0);
  CHECK(first_crossing(w, 0, 2.0, Direction::rising, {0.5, 1.0}) == 1.0);
  CHECK_FALSE(first_crossing(w, 0, 2.0, Direction::rising, {1.0, 2.0}).has_value());
  CHECK_FALSE(first_crossing(w, 0, 2.0, Direction::rising, {0.0, 0.5}).has_value());
  const auto both = main_transition(w, 0, 1.0, 4.0, whole(w));
  REQUIRE(both.has_value());
  CHECK(both->begin == 1.0);
  CHECK(both->end == 1.0);
}

TEST_CASE("windows that follow each other share no crossing and lose none") {
  const auto w = record({{{"v", "V"}, [](double t) { return std::sin(t); }}}, uneven_edges(0.0, 30.0, 0.1), 4);
  std::size_t in_parts = 0;
  for (int part = 0; part < 30; ++part) in_parts += crossings(w, 0, 0.3, {part * 1.0, part + 1.0}).size();
  CHECK(in_parts == crossings(w, 0, 0.3, whole(w)).size());
  CHECK(in_parts == 10);
}

// v_DS of a 48 V turn-on. It dips while the current rises (L di/dt), recovers, and then falls from 30 to 40 ns.
TEST_CASE("an inductive dip that recovers does not begin the fall, though the first crossing is in it") {
  const auto w = drawn({{0, 10e-9, 11e-9, 24e-9, 25e-9, 30e-9, 40e-9, 60e-9}, {48, 48, 40, 40, 48, 48, 0, 0}});
  const auto fall = main_transition(w, 0, 43.2, 4.8, whole(w));
  REQUIRE(fall.has_value());
  CHECK(fall->begin == relative(31e-9, 1e-9));
  CHECK(fall->end == relative(39e-9, 1e-9));
  CHECK(*first_crossing(w, 0, 43.2, Direction::falling, whole(w)) < 11e-9);
}

TEST_CASE("a dip that never recovers begins the fall") {
  const auto w = drawn({{0, 10e-9, 11e-9, 30e-9, 40e-9, 60e-9}, {48, 48, 40, 40, 0, 0}});
  const auto fall = main_transition(w, 0, 43.2, 4.8, whole(w));
  REQUIRE(fall.has_value());
  CHECK(fall->begin == relative(10.6e-9, 1e-9));
}

TEST_CASE("ring-back through the level after a rise does not move its end, a bump before it not its beginning") {
  const auto w = drawn({{0, 5, 6, 7, 10, 20, 22, 24, 26, 30}, {0, 0, 10, 0, 0, 60, 40, 54, 44, 48}});
  const auto rise = main_transition(w, 0, 4.8, 43.2, whole(w));
  REQUIRE(rise.has_value());
  CHECK(rise->begin == relative(10.8, 1e-9));
  CHECK(rise->end == relative(17.2, 1e-9));
}

TEST_CASE("noise on a sampled edge moves the transition by no more than the noise is worth") {
  std::mt19937 random(90210);
  std::uniform_real_distribution<double> noise(-1.0, 1.0);
  const Corners edge{{0, 50e-9, 70e-9, 120e-9}, {48, 48, 0, 0}};
  const auto w =
      record({{{"v_ds", "V"}, [&](double t) { return edge(t) + noise(random); }}}, even_edges(0.0, 120e-9, 600), 1);
  const auto fall = main_transition(w, 0, 43.2, 4.8, whole(w));
  REQUIRE(fall.has_value());
  const double worth = 20e-9 / 48.0;  // time in which the edge moves by the noise amplitude
  CHECK(std::abs(fall->begin - 52e-9) < worth + 0.2e-9);
  CHECK(std::abs(fall->end - 68e-9) < worth + 0.2e-9);
}

TEST_CASE("no transition where the channel starts past it or does not finish it") {
  const auto w = drawn({{0, 1, 2}, {30, 30, 0}});
  CHECK_FALSE(main_transition(w, 0, 43.2, 4.8, whole(w)).has_value());
  CHECK_FALSE(main_transition(w, 0, 20.0, -5.0, whole(w)).has_value());
  CHECK_FALSE(main_transition(w, 0, 5.0, 20.0, whole(w)).has_value());
  CHECK_THROWS_AS(main_transition(w, 0, 5.0, 5.0, whole(w)), std::invalid_argument);
}
