// Energies inside the IEC 60747-8 window, on drawn edges with closed-form answers.
#include "gateswing/measure/switching_energy.h"

#include <doctest/doctest.h>

#include "gateswing/measure/integral.h"
#include "measure/piecewise.h"
#include "relative.h"

using namespace gateswing::measure;
using gateswing_test::corners;
using gateswing_test::record;
using gateswing_test::relative;

namespace {

constexpr double v = 400.0, i = 20.0;
constexpr EnergyLimits iec{v, i, 0.1, 0.1};

// Clamped inductive load: the current rises in 10..20 ns at full voltage, then the voltage falls in 20..50 ns.
const auto turn_on =
    record({corners("v_ds", "V", {{20e-9, 50e-9}, {v, 0}}), corners("i_d", "A", {{10e-9, 20e-9}, {0, i}})},
           {0, 10e-9, 20e-9, 50e-9, 80e-9}, 1);

// The voltage rises in 10..40 ns at full current, overshoots 80 V while the current falls in 40..50 ns; both ring.
const auto turn_off = record({corners("v_ds", "V", {{10e-9, 40e-9, 45e-9, 50e-9}, {0, v, v + 80.0, v}}),
                              corners("i_d", "A", {{40e-9, 50e-9, 55e-9, 60e-9, 65e-9}, {i, 0, 3, -3, 0}})},
                             {0, 10e-9, 40e-9, 45e-9, 50e-9, 55e-9, 60e-9, 65e-9, 80e-9}, 1);

}  // namespace

TEST_CASE("Eon counts from 10 % of the current to 10 % of the voltage: 99 % of V I (ti + tv) / 2 here") {
  const auto inside = turn_on_energy_window(turn_on, 0, 1, iec, whole(turn_on));
  REQUIRE(inside.has_value());
  CHECK(inside->begin == relative(11e-9, 1e-9));
  CHECK(inside->end == relative(47e-9, 1e-9));
  const double full = v * i * 40e-9 / 2.0;
  CHECK(integral_of_product(turn_on, 0, 1, whole(turn_on)) == relative(full, 1e-12));
  CHECK(turn_on_energy(turn_on, 0, 1, iec, whole(turn_on)) == relative(0.99 * full, 1e-9));
}

TEST_CASE("Eoff counts from 10 % of the voltage to the first 10 % of the current, not to those of the ring") {
  const auto inside = turn_off_energy_window(turn_off, 0, 1, iec, whole(turn_off));
  REQUIRE(inside.has_value());
  CHECK(inside->begin == relative(13e-9, 1e-9));
  CHECK(inside->end == relative(49e-9, 1e-9));
  // Rise: V I tv (1 - 0.01) / 2. Fall 20 -> 2 A in 9 ns under V, and under the triangle of 80 V cut at 16 V.
  const double rise = 0.99 * v * i * 30e-9 / 2.0;
  const double under_bus = v * i * 10e-9 * 0.99 / 2.0;
  const double up = 80.0 * i * 5e-9 * (0.5 - 0.5 / 3.0);                    // current 1 - s/2, voltage s, s = 0..1
  const double down = 80.0 * i * 5e-9 * (0.5 * (1.0 / 3.0 - 0.008 / 3.0));  // current s/2, voltage s, s = 1..0.2
  CHECK(turn_off_energy(turn_off, 0, 1, iec, whole(turn_off)) == relative(rise + under_bus + up + down, 1e-9));
}

TEST_CASE("the windowed energy is below that of the whole event, and narrower limits count less") {
  // GFM347 v1.00 (2021), p. 32, measures 237 uJ in the 10 %/10 % window against 251 uJ over the whole turn-on.
  const double windowed = *turn_on_energy(turn_on, 0, 1, iec, whole(turn_on));
  const double whole_event = integral_of_product(turn_on, 0, 1, whole(turn_on));
  const double wider = *turn_on_energy(turn_on, 0, 1, {v, i, 0.02, 0.05}, whole(turn_on));
  CHECK(windowed < wider);
  CHECK(wider < whole_event);
  CHECK(wider == relative(v * i * (10e-9 * (1 - 0.0025) + 30e-9 * (1 - 0.0004)) / 2.0, 1e-9));
}

TEST_CASE("a current spike that dies away before the real rise does not open the turn-on window") {
  const auto w = record({corners("v_ds", "V", {{20e-9, 50e-9}, {v, 0}}),
                         corners("i_d", "A", {{2e-9, 3e-9, 4e-9, 10e-9, 20e-9}, {0, 5, 0, 0, i}})},
                        {0, 2e-9, 3e-9, 4e-9, 10e-9, 20e-9, 50e-9, 80e-9}, 1);
  CHECK(turn_on_energy_window(w, 0, 1, iec, whole(w))->begin == relative(11e-9, 1e-9));
}

TEST_CASE("no window where the voltage is gone before the current comes, or an edge is missing") {
  const auto soft = record({corners("v_ds", "V", {{0, 10e-9}, {v, 0}}), corners("i_d", "A", {{20e-9, 30e-9}, {0, i}})},
                           {0, 10e-9, 20e-9, 30e-9, 40e-9}, 1);
  CHECK_FALSE(turn_on_energy(soft, 0, 1, iec, whole(soft)).has_value());
  CHECK_FALSE(turn_on_energy(turn_on, 0, 1, iec, {0.0, 30e-9}).has_value());
  CHECK_FALSE(turn_off_energy(turn_off, 0, 1, iec, {0.0, 45e-9}).has_value());
  CHECK_FALSE(turn_off_energy(turn_on, 0, 1, iec, whole(turn_on)).has_value());
}
