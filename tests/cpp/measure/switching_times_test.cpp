// IEC 60747-8 switching times on drawn edges whose instants are known.
#include "gateswing/measure/switching_times.h"

#include <doctest/doctest.h>

#include "measure/piecewise.h"
#include "relative.h"

using namespace gateswing::measure;
using gateswing_test::corners;
using gateswing_test::record;
using gateswing_test::relative;

namespace {

constexpr Levels gate{-3.0, 12.0};
constexpr Levels drain{2.0, 42.0};

// v_GS -3 -> 12 V from 10 to 25 ns with a plateau of 20 ns at 6 V; v_DS 42 -> 2 V while it lasts, after a dip.
const auto turn_on =
    record({corners("v_gs", "V", {{10e-9, 19e-9, 39e-9, 45e-9}, {-3, 6, 6, 12}}),
            corners("v_ds", "V", {{15e-9, 16e-9, 17e-9, 18e-9, 19e-9, 39e-9}, {42, 36, 36, 42, 42, 2}})},
           {0, 10e-9, 15e-9, 16e-9, 17e-9, 18e-9, 19e-9, 39e-9, 45e-9, 60e-9}, 1);

// v_GS 12 -> -3 V with the same plateau; v_DS rises to 42 V, overshoots to 60 V and rings back to 30 V.
const auto turn_off = record({corners("v_gs", "V", {{10e-9, 16e-9, 36e-9, 45e-9}, {12, 6, 6, -3}}),
                              corners("v_ds", "V", {{16e-9, 36e-9, 38e-9, 42e-9, 46e-9}, {2, 42, 60, 30, 42}})},
                             {0, 10e-9, 16e-9, 36e-9, 38e-9, 42e-9, 45e-9, 46e-9, 60e-9}, 1);

}  // namespace

TEST_CASE("td(on) runs from 10 % of v_GS to 90 % of v_DS, tr from 90 % to 10 % of v_DS, the dip ignored") {
  const EdgeTimes times = turn_on_times(turn_on, 0, gate, 1, drain, whole(turn_on));
  CHECK(times.gate == relative(11.5e-9, 1e-9));  // -1.5 V
  REQUIRE(times.drain.has_value());
  CHECK(times.drain->begin == relative(21e-9, 1e-9));  // 38 V
  CHECK(times.drain->end == relative(37e-9, 1e-9));    // 6 V
  CHECK(times.delay() == relative(9.5e-9, 1e-9));
  CHECK(times.transition() == relative(16e-9, 1e-9));
  CHECK(times.total() == relative(25.5e-9, 1e-9));
}

TEST_CASE("td(off) runs from 90 % of v_GS to 10 % of v_DS, tf from 10 % to 90 % of v_DS, the ring-back ignored") {
  const EdgeTimes times = turn_off_times(turn_off, 0, gate, 1, drain, whole(turn_off));
  CHECK(times.gate == relative(11.5e-9, 1e-9));  // 10.5 V
  REQUIRE(times.drain.has_value());
  CHECK(times.drain->begin == relative(18e-9, 1e-9));  // 6 V
  CHECK(times.drain->end == relative(34e-9, 1e-9));    // 38 V
  CHECK(times.delay() == relative(6.5e-9, 1e-9));
  CHECK(times.transition() == relative(16e-9, 1e-9));
  CHECK(times.total() == relative(22.5e-9, 1e-9));
}

TEST_CASE("with the drain levels counted from zero the percentages are of the bus voltage") {
  const EdgeTimes times = turn_on_times(turn_on, 0, gate, 1, {0.0, 42.0}, whole(turn_on));
  REQUIRE(times.drain.has_value());
  CHECK(times.drain->begin == relative(19e-9 + 4.2 / 40.0 * 20e-9, 1e-9));
  CHECK(times.drain->end == relative(19e-9 + 37.8 / 40.0 * 20e-9, 1e-9));
}

TEST_CASE("a switch that does not finish still tells when its gate left, and claims no time it did not show") {
  const EdgeTimes times = turn_on_times(turn_on, 0, gate, 1, drain, {0.0, 30e-9});
  CHECK(times.gate == relative(11.5e-9, 1e-9));
  CHECK_FALSE(times.drain.has_value());
  CHECK_FALSE(times.delay().has_value());
  CHECK_FALSE(times.transition().has_value());
  CHECK_FALSE(times.total().has_value());
}

TEST_CASE("a drain edge seen without its gate edge has a transition but no delay") {
  const EdgeTimes times = turn_off_times(turn_off, 0, gate, 1, drain, {15e-9, 60e-9});
  CHECK_FALSE(times.gate.has_value());
  CHECK(times.transition() == relative(16e-9, 1e-9));
  CHECK_FALSE(times.delay().has_value());
  CHECK_FALSE(times.total().has_value());
}

TEST_CASE("of several gate crossings the last before the drain moves is taken, none after it") {
  const auto w = record({corners("v_gs", "V", {{0, 1, 2, 3, 4, 8, 9, 10}, {0, 6, 0, 5, 5, 12, 0, 12}}),
                         corners("v_ds", "V", {{4, 8}, {40, 0}})},
                        {0, 1, 2, 3, 4, 8, 9, 10}, 1);
  const EdgeTimes times = turn_on_times(w, 0, {0.0, 12.0}, 1, {0.0, 40.0}, whole(w));
  CHECK(times.gate == relative(2.0 + 1.2 / 5.0, 1e-9));
}
