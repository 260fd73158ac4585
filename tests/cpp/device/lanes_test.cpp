// The laws on a pack of lanes: every lane gets what the plain scalar gets, whatever its neighbours do.
#include <doctest/doctest.h>

#include <array>
#include <utility>

#include "device/check.h"
#include "device/lanes.h"
#include "device/random_laws.h"
#include "gateswing/device/driver_output.h"
#include "gateswing/device/mosfet.h"

namespace gateswing::device::test {
namespace {

template <template <class> class Law>
using LaneLaws = std::array<Law<double>, lane_count>;

/// Copies one field of the scalar laws into the lanes of the packed law.
template <template <class> class Law>
void fill(Law<Lanes>& packed, const LaneLaws<Law>& laws, Lanes Law<Lanes>::* to, double Law<double>::* from) {
  for (std::size_t i = 0; i < lane_count; ++i) (packed.*to).lane[i] = laws[i].*from;
}

Lanes voltages(Draw& draw, double low, double high) {
  Lanes result;
  for (double& v : result.lane) v = draw.uniform(low, high);
  return result;
}

/// Checks f(law, x...), and its derivatives, on the pack against the scalar lane by lane.
template <template <class> class Law, class Function, class... Arguments>
void check_lanes(const Function& f, const Law<Lanes>& packed, const LaneLaws<Law>& laws, const Arguments&... x) {
  constexpr int count = sizeof...(Arguments);
  [&]<int... k>(std::integer_sequence<int, k...>) {
    const Lanes value = f(packed, x...);
    const Dual<Lanes, count> slopes = f(packed, seed<count>(x, k)...);
    for (std::size_t i = 0; i < lane_count; ++i) {
      CAPTURE(i);
      CAPTURE(laws[i]);
      const auto expected = f(laws[i], seed<count>(x.lane[i], k)...);
      CHECK(close(value.lane[i], f(laws[i], x.lane[i]...), 1e-13));
      CHECK(close(slopes.value.lane[i], expected.value, 1e-13));
      for (std::size_t j = 0; j < count; ++j) {
        CAPTURE(j);
        CHECK(close(slopes.derivative[j].lane[i], expected.derivative[j], 1e-13));
      }
    }
  }(std::make_integer_sequence<int, count>{});
}

TEST_CASE("the channel gives each lane what it gives the scalar") {
  Draw draw(71);
  for (int n = 0; n < 50; ++n) {
    const LaneLaws<MosfetChannel> laws{draw.channel(), draw.channel(), draw.channel()};
    MosfetChannel<Lanes> packed;
    using P = MosfetChannel<Lanes>;
    using S = MosfetChannel<>;
    fill(packed, laws, &P::threshold_voltage, &S::threshold_voltage);
    fill(packed, laws, &P::transconductance_factor, &S::transconductance_factor);
    fill(packed, laws, &P::mobility_degradation, &S::mobility_degradation);
    fill(packed, laws, &P::subthreshold_voltage, &S::subthreshold_voltage);
    check_lanes<MosfetChannel>([](const auto& law, const auto& a, const auto& b) { return channel_current(law, a, b); },
                               packed, laws, voltages(draw, -5.0, 15.0), voltages(draw, -10.0, 60.0));
  }
}

TEST_CASE("the capacitances give each lane what they give the scalar, on both sides of zero at once") {
  Draw draw(72);
  const auto check_all = [](const auto& check) {
    check([](const auto& law, const auto& v) { return capacitance(law, v); });
    check([](const auto& law, const auto& v) { return charge(law, v); });
    check([](const auto& law, const auto& v) { return stored_energy(law, v); });
  };
  for (int n = 0; n < 50; ++n) {
    const LaneLaws<DepletionCapacitance> junctions{draw.depletion(), draw.depletion(), draw.depletion()};
    DepletionCapacitance<Lanes> junction;
    using JP = DepletionCapacitance<Lanes>;
    using JS = DepletionCapacitance<>;
    fill(junction, junctions, &JP::zero_bias, &JS::zero_bias);
    fill(junction, junctions, &JP::potential, &JS::potential);
    fill(junction, junctions, &JP::grading, &JS::grading);
    fill(junction, junctions, &JP::floor, &JS::floor);
    fill(junction, junctions, &JP::ceiling, &JS::ceiling);
    const Lanes v = voltages(draw, -20.0, 20.0);
    check_all([&](const auto& f) { check_lanes<DepletionCapacitance>(f, junction, junctions, v); });

    const LaneLaws<StepCapacitance> steps{draw.step(), draw.step(), draw.step()};
    StepCapacitance<Lanes> step;
    using SP = StepCapacitance<Lanes>;
    using SS = StepCapacitance<>;
    fill(step, steps, &SP::low, &SS::low);
    fill(step, steps, &SP::high, &SS::high);
    fill(step, steps, &SP::centre, &SS::centre);
    fill(step, steps, &SP::width, &SS::width);
    check_all([&](const auto& f) { check_lanes<StepCapacitance>(f, step, steps, v); });
  }
}

TEST_CASE("the diode and the knee give each lane what they give the scalar") {
  Draw draw(73);
  for (int n = 0; n < 50; ++n) {
    const LaneLaws<JunctionDiode> diodes{draw.diode(), draw.diode(), draw.diode()};
    JunctionDiode<Lanes> diode;
    using DP = JunctionDiode<Lanes>;
    using DS = JunctionDiode<>;
    fill(diode, diodes, &DP::saturation_current, &DS::saturation_current);
    fill(diode, diodes, &DP::emission_voltage, &DS::emission_voltage);
    fill(diode, diodes, &DP::transit_time, &DS::transit_time);
    fill(diode, diodes, &DP::lifetime, &DS::lifetime);
    check_lanes<JunctionDiode>(
        [](const auto& law, const auto& v, const auto& y) { return recovery_current(law, v, y); }, diode, diodes,
        voltages(draw, -3.0, 6.0), voltages(draw, 0.0, 20.0));

    const LaneLaws<KneeConduction> knees{draw.knee(), draw.knee(), draw.knee()};
    KneeConduction<Lanes> knee;
    using KP = KneeConduction<Lanes>;
    using KS = KneeConduction<>;
    fill(knee, knees, &KP::knee_voltage, &KS::knee_voltage);
    fill(knee, knees, &KP::slope_resistance, &KS::slope_resistance);
    fill(knee, knees, &KP::knee_width, &KS::knee_width);
    check_lanes<KneeConduction>([](const auto& law, const auto& v) { return knee_current(law, v); }, knee, knees,
                                voltages(draw, -5.0, 200.0));
  }
}

TEST_CASE("the driver output gives each lane what it gives the scalar") {
  Draw draw(74);
  for (int n = 0; n < 50; ++n) {
    const LaneLaws<DriverOutput> laws{draw.driver(), draw.driver(), draw.driver()};
    DriverOutput<Lanes> packed;
    using P = DriverOutput<Lanes>;
    using S = DriverOutput<>;
    fill(packed, laws, &P::source_resistance, &S::source_resistance);
    fill(packed, laws, &P::sink_resistance, &S::sink_resistance);
    fill(packed, laws, &P::inverse_source_limit, &S::inverse_source_limit);
    fill(packed, laws, &P::inverse_sink_limit, &S::inverse_sink_limit);
    fill(packed, laws, &P::source_drop, &S::source_drop);
    fill(packed, laws, &P::sink_drop, &S::sink_drop);
    fill(packed, laws, &P::drop_width, &S::drop_width);
    check_lanes<DriverOutput>([](const auto& law, const auto& up, const auto& down,
                                 const auto& a) { return driver_current(law, up, down, a); },
                              packed, laws, voltages(draw, -2.0, 15.0), voltages(draw, -2.0, 15.0),
                              voltages(draw, 0.0, 1.0));
  }
}

}  // namespace
}  // namespace gateswing::device::test
