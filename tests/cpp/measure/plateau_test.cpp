// The gate plateau on staircases with known level.
#include "gateswing/measure/plateau.h"

#include <doctest/doctest.h>

#include <cmath>

#include "measure/piecewise.h"
#include "relative.h"

using namespace gateswing::measure;
using gateswing_test::corners;
using gateswing_test::record;
using gateswing_test::relative;
using gateswing_test::uneven_edges;

TEST_CASE("constant gate current into Cgs and Cgd: the plateau lies at VTH + IL / gm, and is flat") {
  // Ig 10 mA, Cgs 1 nF, Cgd 0.1 nF, VTH 3 V, gm 20 S, IL 10 A, bus 40 V (invented): slope Ig / (Cgs + Cgd) up to
  // 3.5 V, then flat for Cgd 40 V / Ig.
  const double slope = 10e-3 / 1.1e-9, begin = 3.5 / slope, end = begin + 0.1e-9 * 40.0 / 10e-3;
  const double finish = end + 2.0 / slope;
  const auto w =
      record({corners("v_gs", "V", {{0, begin, end, finish}, {0, 3.5, 3.5, 5.5}})}, {0, begin, end, finish}, 1);
  const Plateau flat = plateau(w, 0, {0.9 * begin, end});
  CHECK(flat.voltage == relative(3.5, 1e-12));
  CHECK(std::abs(flat.slope) < 1e-6 * slope);
  CHECK(flat.time >= begin);
}

TEST_CASE("a plateau that still climbs is read where it climbs least, inside a step if need be, on either edge") {
  // v = 5 + t + t^3, least slope 1 at t = 0, 5 V.
  for (const double direction : {1.0, -1.0}) {
    const auto w = record({{{"v_gs", "V"}, [direction](double t) { return 5.0 + direction * (t + t * t * t); }}},
                          {-1.0, -0.3, 0.45, 1.0}, 4);
    const Plateau flat = plateau(w, 0, {-0.9, 0.8});
    CHECK(std::abs(flat.time) < 1e-9);
    CHECK(flat.voltage == relative(5.0, 1e-9));
    CHECK(flat.slope == relative(1.0, 1e-9));
  }
}

TEST_CASE("a gate voltage that overshoots its plateau is read at the crest; only the given window counts") {
  const auto hump = [](double t) { return std::sin(t); };
  const auto w = record({{{"v_gs", "V"}, hump}}, uneven_edges(0.0, 6.0, 0.05), 4);
  const Plateau crest = plateau(w, 0, {1.0, 2.5});
  CHECK(crest.time == relative(std::acos(0.0), 1e-5));
  CHECK(crest.voltage == relative(1.0, 1e-6));
  CHECK(crest.slope == 0.0);
  CHECK(plateau(w, 0, {2.0, 3.0}).time == 2.0);
  CHECK(plateau(w, 0, {2.0, 3.0}).slope == relative(-std::cos(2.0), 1e-5));
}
