// Recovery figures of a current whose closed form is known.
#include "gateswing/measure/recovery.h"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "measure/piecewise.h"
#include "relative.h"

using namespace gateswing::measure;
using gateswing_test::record;
using gateswing_test::relative;

namespace {

constexpr double forward = 10.0, slope = 100e6, peak = 6.457, decay = 20e-9;
constexpr double peak_time = (forward + peak) / slope;

// A ramp to -peak, then exponential decay: the current of the charge-control diode (Lauritzen and Ma, 1991).
gateswing::waveform::Waveform recovering() {
  const auto current = [](double t) {
    return t < peak_time ? forward - slope * t : -peak * std::exp(-(t - peak_time) / decay);
  };
  std::vector<double> joints{-50e-9, 0.3 * peak_time, peak_time};
  while (joints.back() < peak_time + 30.0 * decay) joints.push_back(joints.back() + 0.1 * decay);
  return record({{{"i", "A"}, current}}, joints, 4);
}

}  // namespace

TEST_CASE("peak, times and charge of a ramp that ends in an exponential") {
  const auto found = recovery(recovering(), 0, {-50e-9, peak_time + 29.0 * decay});
  REQUIRE(found);
  const double rise = peak / slope;
  CHECK(found->zero_time == relative(forward / slope, 1e-9));
  CHECK(found->peak_time == relative(peak_time, 1e-9));
  CHECK(found->peak_current == relative(peak, 1e-9));
  // By each rule t_rr = I_RM/a + k tau_rr with the k that the exponential gives.
  CHECK(found->time == relative(rise + std::log(4.0) * decay, 1e-6));
  CHECK(found->line_time == relative(rise + 1.8790 * decay, 3e-5));
  CHECK(found->short_time == relative(rise + 1.5041 * decay, 3e-5));
  CHECK(found->charge == relative(0.5 * peak * rise + peak * decay, 1e-6));
}

TEST_CASE("a record that ends before the current is back, or never reverses, has no recovery") {
  CHECK_FALSE(recovery(recovering(), 0, {-50e-9, peak_time + decay}));
  CHECK_FALSE(recovery(recovering(), 0, {-50e-9, 0.5 * forward / slope}));
}
