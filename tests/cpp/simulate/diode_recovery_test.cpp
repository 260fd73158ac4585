// Reverse recovery in a circuit: a forced current ramp through a charge-control diode beside a clamp.
#include <doctest/doctest.h>

#include <cmath>

#include "gateswing/measure/crossing.h"
#include "gateswing/measure/extrema.h"
#include "gateswing/measure/integral.h"
#include "relative.h"
#include "simulate/run.h"

namespace gateswing::simulate::test {
namespace {

using network::Circuit;
using network::Node;

constexpr double lifetime = 100e-9;
constexpr double transit_time = 25e-9;
constexpr double decay_time = 20e-9;  // 1/tau_rr = 1/tau + 1/TM
constexpr double forward = 10.0;
constexpr double settled = 4e-6;  // 40 lifetimes at the forward current

/// i = IF - a t from `settled` on. Once the diode lets go the clamp, half a volt into reverse, takes the ramp, so that
/// the diode decays freely.
Run recovery(double slope) {
  Circuit circuit;
  const Node anode = circuit.node("anode");
  const double ramp = 80.0 * decay_time;
  circuit.add_current_source("ramp", Node::ground, anode,
                             network::PiecewiseLinear({{settled, forward}, {settled + ramp, forward - slope * ramp}}));
  circuit.add_diode("diode", anode, Node::ground, {1e-12, 0.026, transit_time, lifetime});
  // Without it the anode would jump when the junction lets go; it moves the peak by 2e-6.
  circuit.add_capacitor("anode capacitance", anode, Node::ground, device::ConstantCapacitance<>{1e-16});
  circuit.add_knee("clamp", Node::ground, anode, {0.5, 1e-5, 0.01});
  return run(circuit, {current("i", "diode")}, settled + ramp);
}

struct Published {
  double slope, peak, recovery_time, charge;  // [A/s], [A], [s], [C]
};
// Lauritzen and Ma, IEEE Trans. Power Electron. 6(2), 188-191 (1991), equations re-derived; numbers evaluated from the
// closed form for tau 100 ns, TM 25 ns, 10 A.
constexpr Published anchors[]{{100e6, 6.4570, 92.30e-9, 337.6e-9}, {500e6, 16.4164, 60.56e-9, 597.8e-9}};

/// IRM = a (tau - tau_rr)(1 - exp(-T1/tau)), T1 = (IF + IRM)/a, by repeated insertion.
double closed_form_peak(double slope) {
  double peak = 0.0;
  for (int k = 0; k < 500; ++k)
    peak = -slope * (lifetime - decay_time) * std::expm1(-(forward + peak) / slope / lifetime);
  return peak;
}

TEST_CASE("the recovery current peaks at IRM = a (tau - tau_rr)(1 - exp(-T1/tau))") {
  for (const Published& at : anchors) {
    CAPTURE(at.slope);
    const Run r = recovery(at.slope);
    const measure::Extremum peak = measure::minimum(r.waveform, r.channel("i"), r.whole());
    check_close(-peak.value, closed_form_peak(at.slope), 1e-5);
    CHECK(-peak.value == gateswing_test::relative(at.peak, 2e-5));
    CHECK(peak.time - settled == gateswing_test::relative((forward + closed_form_peak(at.slope)) / at.slope, 1e-4));
  }
}

TEST_CASE("after its peak the recovery current dies with 1/tau_rr = 1/tau + 1/TM") {
  for (const Published& at : anchors) {
    CAPTURE(at.slope);
    const Run r = recovery(at.slope);
    const double peak = closed_form_peak(at.slope);
    const double peak_time = settled + (forward + peak) / at.slope;
    for (const double times : {0.5, 1.0, 2.0, 5.0}) {
      check_close(-r.value("i", peak_time + times * decay_time), peak * std::exp(-times), 1e-4);
    }
  }
}

TEST_CASE("recovery time to a quarter of the peak and recovered charge are those of the closed form") {
  for (const Published& at : anchors) {
    CAPTURE(at.slope);
    const Run r = recovery(at.slope);
    const double zero = settled + forward / at.slope;
    const double peak = closed_form_peak(at.slope);
    const auto quarter =
        measure::last_crossing(r.waveform, r.channel("i"), -0.25 * peak, measure::Direction::rising, r.whole());
    REQUIRE(quarter);
    CHECK(*quarter - zero == gateswing_test::relative(at.recovery_time, 1e-4));
    const double charge = -measure::integral(r.waveform, r.channel("i"), {zero, r.waveform.end()});
    check_close(charge, peak * peak / (2.0 * at.slope) + peak * decay_time, 1e-5);
    CHECK(charge == gateswing_test::relative(at.charge, 2e-4));
  }
}

TEST_CASE("at a very steep ramp the recovered charge tends to IF (tau - tau_rr), below tau IF") {
  const Run r = recovery(1e12);
  const double charge = -measure::integral(r.waveform, r.channel("i"), {settled + forward / 1e12, r.waveform.end()});
  check_close(charge, forward * (lifetime - decay_time), 2e-3);
  CHECK(charge < forward * lifetime);
}

}  // namespace
}  // namespace gateswing::simulate::test
