// One turn-on and one turn-off of a cell: what is asked for is what happens, and the figures agree with each other.
#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "gateswing/measure/integral.h"
#include "gateswing/study/channels.h"
#include "gateswing/study/double_pulse.h"
#include "network/example_cell.h"
#include "network/support.h"
#include "simulate/run.h"

namespace gateswing::study::test {

using namespace simulate::test;
namespace {

using network::test::example_cell;
using network::test::plain_cell;
using network::test::refusal;
using Channel = CellChannels;

double energy(const network::Ledger& ledger, std::string_view element) {
  return std::ranges::find(ledger.entries, element, &network::EnergyEntry::element)->energy;
}

TEST_CASE("the load carries the current asked for when the switch is told to turn on, however small its L/R") {
  for (const double inductance : {1e-6, 200e-6, 20e-3}) {
    CAPTURE(inductance);
    network::LowSideCell cell = example_cell();
    cell.load.inductance = inductance;
    const DoublePulse pulse = double_pulse(cell, {.current = 5.0}, {});
    REQUIRE(pulse.status == integrate::Status::success);
    check_close(pulse.waveform.value(Channel::load_current, 0.0), 5.0, 2e-3);
    CHECK(pulse.waveform.value(Channel::drain_voltage, 0.0) > 24.0);
  }
}

TEST_CASE("the record runs from before the command to the end of the off-time, of the lengths asked for") {
  const DoublePulse pulse = double_pulse(example_cell(), {.current = 5.0, .on_time = 0.7e-6, .off_time = 1.3e-6}, {});
  CHECK(pulse.waveform.begin() < 0.0);
  CHECK(pulse.waveform.end() == 2.0e-6);
  CHECK(pulse.on_time == 0.7e-6);
  CHECK(pulse.off_time == 1.3e-6);
}

TEST_CASE("the times chosen are long enough for both edges to finish") {
  for (const double resistance : {0.0, 10.0, 300.0}) {
    CAPTURE(resistance);
    network::LowSideCell cell = example_cell();
    cell.gate.turn_on_resistance = resistance;
    const DoublePulse pulse = double_pulse(cell, {.current = 5.0}, {});
    REQUIRE(pulse.status == integrate::Status::success);
    CHECK(pulse.waveform.value(Channel::drain_voltage, pulse.on_time) < 1.0);
    CHECK(std::abs(pulse.waveform.value(Channel::drain_voltage, pulse.waveform.end()) - 24.7) < 1.0);
    CHECK(std::isfinite(pulse.turn_on.delay));
    CHECK(std::isfinite(pulse.turn_off.fall_time));
  }
}

TEST_CASE(
    "turn-on raises the drain current above the load by what the capacitances take, turn-off overshoots the bus") {
  const DoublePulse pulse = double_pulse(example_cell(), {.current = 5.0}, {});
  CHECK(pulse.turn_on.peak_drain_current > 5.0);
  CHECK(pulse.turn_off.overshoot > 0.5);
  CHECK(pulse.turn_off.peak_drain_voltage < 66.0);
  check_close(pulse.turn_off.current, pulse.current, 1e-12);
}

TEST_CASE("a longer delay of the driver moves an edge by exactly that much") {
  network::LowSideCell late = plain_cell();
  late.driver.timing.turn_on_delay += 40e-9;
  const DoublePulse early = double_pulse(plain_cell(), {.current = 5.0, .on_time = 1e-6, .off_time = 1e-6}, {});
  const DoublePulse shifted = double_pulse(late, {.current = 5.0, .on_time = 1e-6, .off_time = 1e-6}, {});
  check_close(shifted.turn_on.instants.drain_end - early.turn_on.instants.drain_end, 40e-9, 1e-3);
  check_close(shifted.turn_on.rise_time, early.turn_on.rise_time, 1e-3);
  check_close(shifted.turn_off.instants.drain_end, early.turn_off.instants.drain_end, 1e-4);
}

TEST_CASE(
    "energy at the terminals less the channel's heat is what the output capacitance keeps, over both edges nothing") {
  const DoublePulse pulse = double_pulse(plain_cell(), {.current = 5.0}, {});
  const double burnt = energy(pulse.ledger, "channel") + energy(pulse.ledger, "body diode") +
                       energy(pulse.ledger, "breakdown") + energy(pulse.ledger, "drift region");
  // The gate charge through Cgd is the only other energy that passes the drain pin.
  check_close(pulse.turn_on.total_energy + pulse.turn_off.total_energy, burnt, 1e-2);
  CHECK(pulse.turn_on.total_energy < burnt);
}

TEST_CASE("gate charge and driver energy belong together: the driver delivers supply voltage times charge") {
  network::LowSideCell cell = plain_cell();
  cell.driver.off_voltage = 0.0;
  const DoublePulse pulse = double_pulse(cell, {.current = 5.0}, {});
  // Less by the charge that flows while the command ramps, part of which the law takes from the lower rail.
  CHECK(energy(pulse.ledger, "driver supply") < 12.0 * pulse.turn_on.gate_charge);
  check_close(energy(pulse.ledger, "driver supply"), 12.0 * pulse.turn_on.gate_charge, 4e-2);
  cell.driver.timing.rise_time = 0.1e-9;
  cell.driver.timing.fall_time = 0.1e-9;
  const DoublePulse steep = double_pulse(cell, {.current = 5.0}, {});
  check_close(energy(steep.ledger, "driver supply"), 12.0 * steep.turn_on.gate_charge, 2e-3);
}

TEST_CASE("a tighter tolerance moves no figure by more than the default tolerance promises") {
  const DoublePulse coarse = double_pulse(example_cell(), {.current = 5.0}, {});
  const DoublePulse fine = double_pulse(example_cell(), {.current = 5.0}, {.relative_tolerance = 1e-9});
  check_close(coarse.turn_on.energy, fine.turn_on.energy, 1e-4);
  check_close(coarse.turn_off.energy, fine.turn_off.energy, 1e-4);
  check_close(coarse.turn_off.peak_drain_voltage, fine.turn_off.peak_drain_voltage, 1e-5);
  check_close(coarse.turn_on.delay, fine.turn_on.delay, 1e-4);
}

TEST_CASE("a gate that never reaches threshold leaves the edges' figures empty and the run a success") {
  network::LowSideCell cell = plain_cell();
  cell.driver.supply_voltage = 2.5;
  const DoublePulse pulse = double_pulse(cell, {.current = 5.0}, {});
  REQUIRE(pulse.status == integrate::Status::success);
  CHECK(std::isnan(pulse.turn_on.rise_time));
  CHECK(std::isnan(pulse.turn_on.energy));
  CHECK(std::isnan(pulse.turn_off.fall_time));
}

TEST_CASE("a current that the load cannot carry, and a time that is none, are refused") {
  constexpr double nan = std::numeric_limits<double>::quiet_NaN();
  network::LowSideCell resistive = plain_cell();
  resistive.load.inductance = 0.0;
  CHECK_FALSE(refusal([&] { double_pulse(resistive, {.current = 5.0}, {}); }).empty());
  network::LowSideCell constant = plain_cell();
  constant.load.constant_current = 4.0;
  CHECK_FALSE(refusal([&] { double_pulse(constant, {.current = 5.0}, {}); }).empty());
  network::LowSideCell open = plain_cell();
  open.freewheel.reset();
  CHECK(refusal([&] { double_pulse(open, {.current = 5.0}, {}); }).find("freewheel") != std::string::npos);
  for (const double time : {-1e-6, nan}) {
    CHECK_FALSE(refusal([&] { double_pulse(plain_cell(), {.current = 5.0, .on_time = time}, {}); }).empty());
    CHECK_FALSE(refusal([&] { double_pulse(plain_cell(), {.current = 5.0, .off_time = time}, {}); }).empty());
  }
}

}  // namespace
}  // namespace gateswing::study::test
