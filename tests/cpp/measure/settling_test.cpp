// Settling times against closed forms.
#include "gateswing/measure/settling.h"

#include <doctest/doctest.h>

#include <cmath>
#include <stdexcept>

#include "measure/step_response.h"
#include "relative.h"
#include "waveform/record.h"

using namespace gateswing::measure;
using gateswing_test::record;
using gateswing_test::relative;
using gateswing_test::uneven_edges;

TEST_CASE("an exponential enters its 5 % band after ln 20 time constants, from either side") {
  for (const double sign : {1.0, -1.0}) {
    const auto w = record({{{"v", "V"}, [sign](double t) { return 10.0 + sign * 4.0 * std::exp(-t); }}},
                          uneven_edges(0.0, 10.0, 0.1), 4);
    CHECK(settling_time(w, 0, 10.0, 0.2, whole(w)) == relative(std::log(20.0), 1e-6));
  }
}

TEST_CASE("a ring settles at the last time it leaves the band, not the first time it enters it") {
  const gateswing_test::StepResponse response{1.0, 0.05, 1.0};
  const auto w = record({{{"v", "V"}, response}, {{"inverted", "V"}, [&](double t) { return -response(t); }}},
                        uneven_edges(0.0, 120.0, 0.1), 4);
  const auto settled = settling_time(w, 0, 1.0, 0.05, whole(w));
  REQUIRE(settled.has_value());
  CHECK(settling_time(w, 1, -1.0, 0.05, whole(w)) == relative(*settled, 1e-12));
  CHECK(std::abs(response(*settled) - 1.0) == relative(0.05, 1e-5));
  for (int i = 0; i < 5000; ++i) CHECK(std::abs(response(*settled + 1e-4 + i * 0.01) - 1.0) <= 0.05);
}

TEST_CASE("never outside: settled from the beginning; outside at the end: not settled") {
  const auto w = record({{{"v", "V"}, [](double t) { return t; }}}, {0.0, 1.0}, 1);
  CHECK(settling_time(w, 0, 0.5, 0.6, whole(w)) == 0.0);
  CHECK_FALSE(settling_time(w, 0, 0.5, 0.4, whole(w)).has_value());
  CHECK_THROWS_AS(settling_time(w, 0, 0.5, 0.0, whole(w)), std::invalid_argument);
}
