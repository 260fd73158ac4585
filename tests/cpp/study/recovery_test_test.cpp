// The recovery test of a freewheel diode and of a body diode against the closed form of the charge-control law.
#include "gateswing/study/recovery_test.h"

#include <doctest/doctest.h>

#include <stdexcept>

#include "relative.h"
#include "simulate/run.h"

namespace gateswing::study::test {

using namespace simulate::test;
namespace {

using network::FreewheelDiode;
using network::RecoveryCircuit;

constexpr double forward = 10.0;
constexpr device::JunctionDiode<> recovering{1e-12, 0.026, 25e-9, 100e-9};
constexpr device::DepletionCapacitance<> hardly_any{1e-15, 0.7, 0.5, 0.0, 2e-15};

FreewheelDiode freewheel() {
  return {recovering, hardly_any, 0.0, 5e-9};
}

device::Mosfet<> body() {
  device::Mosfet<> mosfet;
  mosfet.channel = {5.0, 10.0, 0.0, 0.05};
  mosfet.gate_source = {1e-15, 1e-15, 0.0, 1.0};
  mosfet.gate_drain = hardly_any;
  mosfet.drain_source = hardly_any;
  mosfet.drift_resistance = 5e-3;
  mosfet.source_inductance = 5e-9;
  mosfet.body_diode = recovering;
  mosfet.breakdown = {100.0, 0.05, 1.0};
  return mosfet;
}

struct Published {
  double slope, peak, recovery_time, charge;  // [A/s], [A], [s], [C]
};
// Lauritzen and Ma, IEEE Trans. Power Electron. 6(2), 188-191 (1991), equations re-derived; numbers evaluated from the
// closed form for tau 100 ns, TM 25 ns, 10 A.
constexpr Published anchors[]{{100e6, 6.4570, 92.30e-9, 337.6e-9}, {500e6, 16.4164, 60.56e-9, 597.8e-9}};

TEST_CASE("freewheel and body diode recover as the closed form says") {
  for (const Published& at : anchors) {
    for (const bool in_mosfet : {false, true}) {
      CAPTURE(at.slope);
      CAPTURE(in_mosfet);
      RecoveryCircuit circuit{freewheel(), forward, at.slope, 1.0};
      if (in_mosfet) circuit.part = body();
      const RecoveryTest test = recovery_test(circuit, {});
      REQUIRE(test.succeeded());
      CHECK(test.peak_current == gateswing_test::relative(at.peak, 1e-3));
      CHECK(test.time == gateswing_test::relative(at.recovery_time, 1e-3));
      CHECK(test.charge == gateswing_test::relative(at.charge, 1e-3));
      // By the lines' rules t_rr = I_RM/a + k tau_rr, tau_rr = 20 ns; k from the exponential.
      CHECK(test.line_time == gateswing_test::relative(at.peak / at.slope + 1.8790 * 20e-9, 2e-3));
      CHECK(test.short_time == gateswing_test::relative(at.peak / at.slope + 1.5041 * 20e-9, 2e-3));
    }
  }
}

TEST_CASE("the body diode's current does not pass the drift resistance") {
  // A part of 500 V (NTE2394, NTE Electronics, data sheet, p. 2: 0.4 ohm, 1.4 V at 14 A), its drift region 0.36 ohm:
  // that would drop 5 V. Shockley's law through the printed point is the closed form.
  device::Mosfet<> mosfet = body();
  mosfet.drift_resistance = 0.36;
  mosfet.body_diode = {device::saturation_current_for(1.4, 14.0, 0.0, 0.04), 0.04, 25e-9, 100e-9};
  const RecoveryTest test = recovery_test({mosfet, 14.0, 100e6, 50.0}, {});
  REQUIRE(test.succeeded());
  const waveform::Waveform& record = test.waveform;
  CHECK(record.value(record.channel("v"), -14.0 / 100e6) == gateswing_test::relative(1.4, 1e-4));
}

TEST_CASE("without stored charge what flows back is the charge of the capacitance") {
  // Charge conservation; JESD282-B counts it as recovered charge.
  FreewheelDiode diode{{1e-10, 0.03, 0.0, 0.0}, {1e-9, 0.7, 0.5, 30e-12, 3e-9}, 10e-3, 0.0};
  const RecoveryTest test = recovery_test({diode, 5.0, 200e6, 50.0}, {});
  REQUIRE(test.succeeded());
  const waveform::Waveform& record = test.waveform;
  const double v = record.value(record.channel("v"), 5.0 / 200e6);
  const double end = record.value(record.channel("v"), record.end());
  const double held = device::charge(diode.capacitance, -end) - device::charge(diode.capacitance, -v);
  // The junction still conducts a little of it forward after the zero crossing.
  check_close(test.charge, held, 5e-3);
  CHECK(test.charge < held);
  CHECK(-end == gateswing_test::relative(50.0, 0.03));
}

TEST_CASE("a recovery test without current, slope or reverse voltage is refused") {
  const auto refuses = [](const char* quantity, double current, double slope, double voltage) {
    CHECK_THROWS_WITH_AS(recovery_test({freewheel(), current, slope, voltage}, {}), doctest::Contains(quantity),
                         std::invalid_argument);
  };
  refuses("forward current", 0.0, 1e8, 30.0);
  refuses("slope of the current", 1.0, 0.0, 30.0);
  refuses("reverse voltage", 1.0, 1e8, 0.0);
}

}  // namespace
}  // namespace gateswing::study::test
