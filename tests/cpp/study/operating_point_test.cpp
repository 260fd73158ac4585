// The periodic state at a frequency and duty: periodicity, powers by hand, and the corners of both ranges.
#include <doctest/doctest.h>

#include <atomic>
#include <cmath>
#include <limits>

#include "gateswing/study/channels.h"
#include "gateswing/study/operating_point.h"
#include "network/example_cell.h"
#include "network/support.h"
#include "relative.h"
#include "simulate/run.h"

namespace gateswing::study::test {

using namespace simulate::test;
namespace {

using network::LowSideCell;
using network::test::example_cell;
using network::test::plain_cell;
using network::test::refusal;
using Channel = CellChannels;

/// A resistor of 9.6 ohm at 24 V, switched without any inductance.
LowSideCell resistive_cell() {
  LowSideCell cell = plain_cell();
  cell.load = {9.6, 0.0, std::nullopt};
  cell.freewheel.reset();
  return cell;
}

/// Voltage across channel and drift region at a drain current, the gate at `gate` volts [V]; by bisection.
double on_voltage(const LowSideCell& cell, double gate, double current) {
  double low = 0.0;
  double high = 10.0;
  for (int k = 0; k < 100; ++k) {
    const double middle = 0.5 * (low + high);
    (device::channel_current(cell.mosfet.channel, gate, middle) < current ? low : high) = middle;
  }
  return low + cell.mosfet.drift_resistance * current;
}

double power(const OperatingPoint& point, std::string_view element) {
  return std::ranges::find(point.ledger, element, &ElementEnergy::element)->power;
}

TEST_CASE("an operating point repeats itself over the recorded period") {
  const OperatingPoint point = operating_point(example_cell(), {.frequency = 100e3, .duty = 0.4}, {});
  REQUIRE(point.status == integrate::Status::success);
  CHECK(point.periodic());
  CHECK(point.periodicity_residual <= 1e-4);
  const waveform::Waveform& w = point.waveform;
  check_close(w.end() - w.begin(), 1e-5, 1e-9);
  for (const std::size_t channel :
       {Channel::gate_voltage, Channel::drain_voltage, Channel::load_current, Channel::bus_voltage}) {
    CAPTURE(channel);
    CHECK(std::abs(w.value(channel, w.end()) - w.value(channel, w.begin())) <
          1e-4 * (1.0 + std::abs(w.value(channel, w.end()))));
  }
  CHECK(point.energy_residual < 1e-6);
  CHECK(point.charge_residual < 1e-5);
}

TEST_CASE("an element's power is its energy times the frequency, and the losses are what is not load") {
  const OperatingPoint point = operating_point(example_cell(), {.frequency = 100e3, .duty = 0.4}, {});
  double dissipated = 0.0;
  double delivered = 0.0;
  for (const ElementEnergy& entry : point.ledger) {
    CHECK(std::abs(entry.power - entry.energy * 100e3) <= 1e-12 * std::abs(entry.power));
    if (entry.kind == network::EnergyKind::dissipated) dissipated += entry.power;
    if (entry.kind == network::EnergyKind::delivered) delivered += entry.power;
  }
  check_close(point.input_power, delivered, 1e-12);
  check_close(point.load_power, power(point, "load resistance"), 1e-12);
  check_close(point.total_loss, dissipated - point.load_power, 1e-4);
  check_close(point.efficiency, point.load_power / (point.load_power + point.total_loss), 1e-12);
  CHECK(point.channel_loss > 0.0);
  CHECK(point.driver_loss > 0.0);
  CHECK(point.channel_loss + point.driver_loss < point.total_loss);
}

TEST_CASE("a resistive load switched slowly has the efficiency of the divider of load and on-resistance") {
  // Hand formula: D V I into the circuit, I = (V - V_on)/R; switching and gate energy are below 1e-4 at 200 Hz.
  const LowSideCell cell = resistive_cell();
  const OperatingPoint point = operating_point(cell, {.frequency = 200.0, .duty = 0.5}, {});
  REQUIRE(point.status == integrate::Status::success);
  CHECK(point.periodic());
  double current = 24.0 / 9.6;
  for (int k = 0; k < 20; ++k) current = (24.0 - on_voltage(cell, 12.0, current)) / 9.6;
  check_close(point.load_power, 0.5 * current * current * 9.6, 1e-4);
  check_close(point.efficiency, 1.0 - on_voltage(cell, 12.0, current) / 24.0, 1e-4);
  check_close(point.mean_load_current, 0.5 * current, 1e-4);
  CHECK(point.on_share == gateswing_test::relative(0.5, 1e-3));
  CHECK(point.transition_share < 1e-3);
}

TEST_CASE("switching loss of a resistive load at speed is near V I (t1 + t2)/6 an edge, driver loss near Qg VDR f") {
  // Hand formulas of the trade for linear edges of voltage and current: V I t/6; their known bias is tens of per cent.
  LowSideCell cell = resistive_cell();
  cell.driver.off_voltage = 0.0;
  const OperatingPoint slow = operating_point(cell, {.frequency = 1e3, .duty = 0.5}, {});
  const OperatingPoint fast = operating_point(cell, {.frequency = 101e3, .duty = 0.5}, {});
  REQUIRE(fast.status == integrate::Status::success);
  const double edges = (fast.channel_loss - slow.channel_loss) / 100e3;
  const double by_hand = 24.0 * 2.5 * (fast.turn_on.rise_time + fast.turn_off.fall_time) / 0.8 / 6.0;
  CHECK(edges / by_hand > 0.6);
  CHECK(edges / by_hand < 1.7);
  // Less by what flows while the command ramps, see the double pulse.
  check_close(power(fast, "driver supply"), 12.0 * fast.turn_on.gate_charge * 101e3, 4e-2);
}

TEST_CASE("an inductive load carries the mean current of the volt-second balance") {
  // D (V - V_on) = R I + (1 - D) V_F with a ripple small enough to take the voltages at the mean current.
  LowSideCell cell = plain_cell();
  cell.load = {2.5, 500e-6, std::nullopt};
  const OperatingPoint point =
      operating_point(cell, {.frequency = 50e3, .duty = 0.6, .periodicity_tolerance = 1e-7}, {});
  REQUIRE(point.periodic());
  double current = 5.0;
  for (int k = 0; k < 50; ++k) {
    const double forward = 0.028 * std::log1p(current / 1e-8) + 12e-3 * current;
    current = (0.6 * (24.0 - on_voltage(cell, 12.0, current)) - 0.4 * forward) / 2.5;
  }
  check_close(point.mean_load_current, current, 1e-2);
}

TEST_CASE("at duty 0 nothing flows, at duty 1 the divider's current does") {
  const LowSideCell cell = resistive_cell();
  const OperatingPoint off = operating_point(cell, {.frequency = 10e3, .duty = 0.0}, {});
  REQUIRE(off.status == integrate::Status::success);
  CHECK(off.periodic());
  CHECK(off.on_share == 0.0);
  CHECK(off.transition_share == 0.0);
  CHECK(std::abs(off.load_power) < 1e-9);
  CHECK(std::isnan(off.turn_on.rise_time));
  const OperatingPoint on = operating_point(cell, {.frequency = 10e3, .duty = 1.0}, {});
  REQUIRE(on.status == integrate::Status::success);
  CHECK(on.periodic());
  CHECK(on.on_share == 1.0);
  double current = 24.0 / 9.6;
  for (int k = 0; k < 20; ++k) current = (24.0 - on_voltage(cell, 12.0, current)) / 9.6;
  check_close(on.load_power, current * current * 9.6, 1e-6);
  check_close(on.efficiency, 1.0 - on_voltage(cell, 12.0, current) / 24.0, 1e-6);
  CHECK(std::isnan(on.turn_off.fall_time));
}

TEST_CASE(
    "a frequency beyond the drive's strength is answered: the gate stays between its rails and nothing switches") {
  // Equal limits both ways pull the gate to the middle of the supply, above the threshold: the switch stays on.
  LowSideCell cell = resistive_cell();
  cell.driver.output.inverse_source_limit = 1.0 / 5e-3;
  cell.driver.output.inverse_sink_limit = 1.0 / 5e-3;
  cell.driver.timing = {5e-9, 5e-9, 0.0, 0.0};
  cell.driver.off_voltage = 0.0;
  const OperatingPoint point = operating_point(cell, {.frequency = 5e6, .duty = 0.5}, {});
  REQUIRE(point.status == integrate::Status::success);
  CHECK(point.on_share == 1.0);
  CHECK(std::isnan(point.turn_on.rise_time));
  CHECK(point.minimum_gate_voltage > 3.0);
  CHECK(point.maximum_gate_voltage < 9.0);
}

TEST_CASE("pulses shorter than the excess of the turn-on delay leave the switch off") {
  LowSideCell cell = resistive_cell();
  cell.driver.timing = {5e-9, 5e-9, 200e-9, 20e-9};
  const OperatingPoint point = operating_point(cell, {.frequency = 3e6, .duty = 0.5}, {});
  REQUIRE(point.status == integrate::Status::success);
  CHECK(point.on_share == 0.0);
  CHECK(point.maximum_gate_voltage < 0.0);
}

TEST_CASE("a delay that carries an edge into the next period changes nothing but its place") {
  LowSideCell late = resistive_cell();
  late.driver.timing.turn_on_delay += 3e-6;
  late.driver.timing.turn_off_delay += 3e-6;
  const OperatingPoint here = operating_point(resistive_cell(), {.frequency = 200e3, .duty = 0.5}, {});
  const OperatingPoint there = operating_point(late, {.frequency = 200e3, .duty = 0.5}, {});
  REQUIRE(there.periodic());
  check_close(there.load_power, here.load_power, 1e-4);
  check_close(there.channel_loss, here.channel_loss, 1e-3);
}

TEST_CASE("a delay of several periods is waited for") {
  for (const double periods : {2.5, 4.0}) {
    CAPTURE(periods);
    LowSideCell late = resistive_cell();
    late.driver.timing.turn_on_delay += periods * 5e-6;
    late.driver.timing.turn_off_delay += periods * 5e-6;
    const OperatingPoint here = operating_point(resistive_cell(), {.frequency = 200e3, .duty = 0.5}, {});
    const OperatingPoint there = operating_point(late, {.frequency = 200e3, .duty = 0.5}, {});
    REQUIRE(there.periodic());
    check_close(there.load_power, here.load_power, 1e-4);
  }
}

TEST_CASE("a slow load is waited for: its mean current does not depend on its inductance") {
  LowSideCell cell = plain_cell();
  cell.load = {1.2, 100e-6, std::nullopt};
  const OperatingPoint fast = operating_point(cell, {.frequency = 50e3, .duty = 0.3}, {});
  cell.load.inductance = 1e-3;
  const OperatingPoint slow = operating_point(cell, {.frequency = 50e3, .duty = 0.3}, {});
  REQUIRE(fast.periodic());
  REQUIRE(slow.periodic());
  check_close(slow.mean_load_current, fast.mean_load_current, 1e-3);
}

TEST_CASE("the edges of a late command are those of an early one, wherever in the period they come") {
  // At 500 kHz and a duty of 0.86 a delay of 300 ns carries the turn-off beyond the next logic command.
  for (const double duty : {0.5, 0.86}) {
    const OperatingPoint early = operating_point(resistive_cell(), {.frequency = 500e3, .duty = duty}, {});
    for (const double delay : {300e-9, 1100e-9, 2500e-9}) {
      CAPTURE(duty);
      CAPTURE(delay);
      LowSideCell late = resistive_cell();
      late.driver.timing.turn_on_delay += delay;
      late.driver.timing.turn_off_delay += delay;
      const OperatingPoint point = operating_point(late, {.frequency = 500e3, .duty = duty}, {});
      REQUIRE(point.periodic());
      check_close(point.turn_on.rise_time, early.turn_on.rise_time, 1e-4);
      check_close(point.turn_off.fall_time, early.turn_off.fall_time, 1e-4);
      check_close(point.turn_on.energy, early.turn_on.energy, 1e-4);
      check_close(point.turn_off.energy, early.turn_off.energy, 1e-4);
    }
  }
}

/// A MOSFET that is nearly its drift resistance alone, which grows in proportion to its temperature, always on.
LowSideCell warming_cell(double thermal_resistance) {
  LowSideCell cell = plain_cell();
  cell.load = {0.0, 0.0, 10.0};
  cell.mosfet.drift_resistance = 50e-3;
  cell.mosfet.channel.transconductance_factor = 1e6;
  cell.cooled_mosfet =
      network::CooledMosfet{cell.mosfet, 298.15, {0.0, 0.0, 1.0, 0.0}, {1.12, 3.0, 1.5}, {313.15, thermal_resistance}};
  return cell;
}

TEST_CASE("a resistance that grows with its temperature settles at T_a/(1 - R_th I^2 R/T_0), or runs away") {
  const double heat = 10.0 * 10.0 * 50e-3;
  for (const double thermal_resistance : {1.0, 10.0, 25.0}) {
    CAPTURE(thermal_resistance);
    const double gain = thermal_resistance * heat / 298.15;
    const OperatingPoint point = operating_point(warming_cell(thermal_resistance), {.frequency = 1e5, .duty = 1.0}, {});
    REQUIRE(point.periodic());
    CHECK(point.runaway.empty());
    check_close(point.junction_temperature, 313.15 / (1.0 - gain), 1e-3);
    check_close(point.thermal_gain, gain, 1e-3);
    CHECK(point.junction_temperature ==
          gateswing_test::relative(
              313.15 + thermal_resistance * (point.channel_loss + power(point, "gate lead resistance")), 1e-7));
  }
  for (const double thermal_resistance : {40.0, 70.0}) {  // 930 K would be a balance, then there is none
    CAPTURE(thermal_resistance);
    const OperatingPoint point = operating_point(warming_cell(thermal_resistance), {.frequency = 1e5, .duty = 1.0}, {});
    CHECK(point.outcome == simulate::PeriodicOutcome::thermal_runaway);
    CHECK(point.runaway == "junction_temperature");
    CHECK(point.message.starts_with(thermal_resistance > 50.0 ? "thermal runaway" : "too hot"));
    CHECK((point.message.find("no runaway there") != std::string::npos) == (point.thermal_gain < 1.0));
    CHECK(std::isnan(point.junction_temperature));
    check_close(point.thermal_gain, thermal_resistance * heat / 298.15, 1e-2);
    CHECK(std::isfinite(point.channel_loss));
    CHECK(point.periods < 60);
  }
}

TEST_CASE("a cooling without its part, or one that is not finite, is refused") {
  LowSideCell cell = resistive_cell();
  cell.cooled_freewheel = network::CooledDiode{{1e-8, 0.028, 0.0, 0.0}, 298.15, {}, {300.0, 1.0}};
  CHECK(refusal([&] { operating_point(cell, {.frequency = 1e5, .duty = 0.5}, {}); }).find("freewheel") !=
        std::string::npos);
  CHECK(refusal([&] {
          operating_point(warming_cell(-1.0), {.frequency = 1e5, .duty = 0.5}, {});
        }).find("thermal resistance") != std::string::npos);
}

std::atomic<bool> enough = false;
long calls_left = 0;

lanes::PackOutcome advance_until_enough(const lanes::Plan& plan, double* memory, const lanes::Tolerance& tolerance,
                                        const lanes::StepEnds* ends, unsigned running, unsigned recorded,
                                        int attempts) {
  if (--calls_left == 0) enough = true;
  return lanes::kernels().back().advance(plan, memory, tolerance, ends, running, recorded, attempts);
}

TEST_CASE("a point that is cancelled on its last steps, beyond the recorded period, is not one without its edges") {
  if (lanes::kernels().empty()) {
    MESSAGE("skipped: no kernel of lanes runs on this machine");
    return;
  }
  lanes::Kernel kernel = lanes::kernels().back();
  kernel.advance = advance_until_enough;
  const auto after = [&](long calls) {
    enough = false;
    calls_left = calls;
    return operating_point(plain_cell(), {.frequency = 100e3, .duty = 0.4}, {.cancelled = &enough}, {&kernel, 1});
  };
  constexpr long endless = 1'000'000'000;
  REQUIRE(std::isfinite(after(endless).turn_on.energy));
  const long calls = endless - calls_left;
  for (const long before_the_end : {1L, 3L, 40L}) {
    CAPTURE(before_the_end);
    const OperatingPoint point = after(calls - before_the_end);
    CHECK(point.status == integrate::Status::cancelled);
    CHECK(std::isnan(point.efficiency));
  }
}

TEST_CASE("a cell still settling when the periods run out says so and keeps its figures") {
  const OperatingPoint point = operating_point(
      example_cell(), {.frequency = 100e3, .duty = 0.4, .periodicity_tolerance = 1e-12, .maximum_periods = 3}, {});
  CHECK(point.status == integrate::Status::success);
  CHECK_FALSE(point.periodic());
  CHECK(point.periods < 20);  // the derivatives of one correction beside the three
  CHECK(point.message.find("periodic") != std::string::npos);
  CHECK(std::isfinite(point.efficiency));
}

TEST_CASE("a constant-current load takes its current times the mean voltage across it") {
  LowSideCell cell = plain_cell();
  cell.load = {0.0, 0.0, 4.0};
  const OperatingPoint point = operating_point(cell, {.frequency = 100e3, .duty = 0.5}, {});
  REQUIRE(point.periodic());
  CHECK(point.mean_load_current == gateswing_test::relative(4.0, 1e-6));
  const double forward = 0.028 * std::log1p(4.0 / 1e-8) + 12e-3 * 4.0;
  check_close(point.load_power, 4.0 * (0.5 * (24.0 - on_voltage(cell, 12.0, 4.0)) - 0.5 * forward), 2e-2);
  CHECK(point.efficiency > 0.9);
  CHECK(point.efficiency < 1.0);
}

TEST_CASE("a frequency or duty that is none, and a load that has no steady state, are refused") {
  constexpr double nan = std::numeric_limits<double>::quiet_NaN();
  for (const double frequency : {0.0, -1.0, nan}) {
    CHECK(refusal([&] {
            operating_point(plain_cell(), {.frequency = frequency, .duty = 0.5}, {});
          }).find("frequency") != std::string::npos);
  }
  for (const double duty : {-0.1, 1.1, 50.0, nan}) {
    CHECK(refusal([&] { operating_point(plain_cell(), {.frequency = 1e5, .duty = duty}, {}); }).find("duty") !=
          std::string::npos);
  }
  CHECK(refusal([] { operating_point(plain_cell(), {.frequency = -2e5, .duty = 0.5}, {}); }) ==
        "the frequency [Hz] must be a finite number above zero, got -2e+05");
  LowSideCell cell = plain_cell();
  cell.load.resistance = 0.0;
  CHECK(refusal([&] { operating_point(cell, {.frequency = 1e5, .duty = 0.5}, {}); }).find("steady state") !=
        std::string::npos);
}

}  // namespace
}  // namespace gateswing::study::test
