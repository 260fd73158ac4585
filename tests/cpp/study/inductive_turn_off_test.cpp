// Unclamped and clamped turn-off of inductive loads against the closed forms of data sheets and textbooks.
#include <doctest/doctest.h>

#include <cmath>

#include "gateswing/study/double_pulse.h"
#include "gateswing/study/inductive_turn_off.h"
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

/// A bare switch into an inductance: no freewheel diode, and no other element that stores or takes much.
LowSideCell unclamped(double inductance, double resistance, double supply, double breakdown) {
  LowSideCell cell = plain_cell();
  cell.supply.voltage = supply;
  cell.load = {resistance, inductance, std::nullopt};
  cell.freewheel.reset();
  cell.mosfet.breakdown = {breakdown, 5e-3, 5e-3};
  return cell;
}

InductiveTurnOff released(const LowSideCell& cell, const InductiveTurnOffRequest& request) {
  InductiveTurnOff result = inductive_turn_off(cell, request, {});
  REQUIRE(result.status == integrate::Status::success);
  CHECK(result.ledger.energy_residual < 1e-6);
  return result;
}

TEST_CASE("a published avalanche rating: 440 uH, 28 A, 25 V and 100 V make 230 mJ in 164.3 us") {
  // Test conditions and rating printed for a 100 V part (references, G19); 1/2 L I^2 BV/(BV - VDD) is 229.97 mJ.
  const InductiveTurnOff off =
      released(unclamped(440e-6, 0.0, 25.0, 100.0), {.current = 28.0, .remaining_share = 0.01});
  check_close(off.breakdown_energy + off.channel_energy, 230e-3, 3e-3);
  check_close(off.release_time, 0.99 * 164.3e-6, 3e-3);
  CHECK(off.peak_drain_voltage == gateswing_test::relative(100.0, 5e-3));
}

TEST_CASE("with a series resistance the avalanche lasts (L/R) ln(1 + R I/(BV - VDD))") {
  for (const double resistance : {0.5, 5.0, 20.0}) {
    CAPTURE(resistance);
    const double share = 0.02;
    const InductiveTurnOff off =
        released(unclamped(20e-3, resistance, 12.0, 60.0), {.current = 3.0, .remaining_share = share});
    const double ratio = resistance * 3.0 / 48.0;
    check_close(off.release_time, 20e-3 / resistance * std::log((1.0 + ratio) / (1.0 + share * ratio)), 5e-3);
    check_close(off.release_time_by_hand, off.release_time, 5e-3);
    check_close(off.breakdown_energy + off.channel_energy, off.energy_by_hand, 5e-3);
  }
}

TEST_CASE("the hand formula's charge is the integral of its current") {
  for (const double resistance : {0.0, 1e-9, 3.0, 300.0}) {
    CAPTURE(resistance);
    const Release release{resistance, 1e-3, 20.0};
    const double end = release.time(2.0, 0.1);
    constexpr int points = 200000;
    double charge = 0.0;
    for (int k = 0; k < points; ++k) {
      const double t = (k + 0.5) / points * end;
      const double current = resistance > 0.0 ? 2.0 * std::exp(-t * resistance / 1e-3) +
                                                    20.0 * std::expm1(-t * resistance / 1e-3) / resistance
                                              : 2.0 - 20.0 * t / 1e-3;
      charge += current * end / points;
    }
    check_close(release.charge(2.0, 0.1), charge, 1e-6);
  }
}

TEST_CASE("a zener from drain to source takes the energy in place of the MOSFET") {
  LowSideCell cell = unclamped(2e-3, 1.0, 12.0, 90.0);
  cell.drain_source_clamp = network::Clamp{{40.0, 0.05, 0.1}, 300e-12};
  const InductiveTurnOff off = released(cell, {.current = 3.0});
  CHECK(off.clamp_energy > 0.99 * off.energy_by_hand);
  CHECK(off.breakdown_energy < 1e-6 * off.clamp_energy);
  check_close(off.plateau_voltage, 40.0, 1e-2);
  check_close(off.release_time, off.release_time_by_hand, 1e-2);
}

TEST_CASE("a zener from drain to gate makes the channel take it, near threshold") {
  LowSideCell cell = unclamped(2e-3, 1.0, 12.0, 90.0);
  cell.drain_gate_clamp = network::Clamp{{40.0, 1.0, 0.1}, 50e-12};
  const InductiveTurnOff off = released(cell, {.current = 3.0});
  const double gate = cell.mosfet.channel.threshold_voltage + std::sqrt(2.0 * 3.0 / 60.0);
  // The zener carries what holds the gate up against the driver.
  check_close(off.channel_energy + off.clamp_energy, off.energy_by_hand, 0.03);
  CHECK(off.channel_energy > 2.0 * off.clamp_energy);
  check_close(off.maximum_gate_voltage, gate, 0.05);
  CHECK(off.plateau_voltage > 40.0 + 0.8 * gate);
  CHECK(off.peak_drain_voltage < 50.0);
}

TEST_CASE("an RCD clamp catches the current in its capacitor: sqrt(L/C) times it, and at most 1/2 L I^2") {
  LowSideCell cell = unclamped(1e-3, 0.0, 24.0, 400.0);
  cell.rcd_clamp =
      network::RcdClamp{{{1e-8, 0.028, 0.0, 0.0}, {0.6e-9, 0.6, 0.45, 20e-12, 1.5e-9}, 0.0, 0.0}, 1e6, 1e-6};
  const InductiveTurnOff off = released(cell, {.current = 2.0, .remaining_share = 0.05});
  // A quarter of the resonance's period; the diode's drop and the output capacitance take a few per cent.
  check_close(off.peak_drain_voltage - 24.0, 2.0 * std::sqrt(1e-3 / 1e-6), 3e-2);
  check_close(off.release_time, std::acos(0.05) * std::sqrt(1e-3 * 1e-6), 3e-2);
}

TEST_CASE("a solenoid lets go the sooner the higher its clamp") {
  double time = 1.0;
  for (const double voltage : {20.0, 30.0, 45.0, 60.0}) {
    LowSideCell cell = unclamped(50e-3, 20.0, 12.0, 90.0);
    cell.drain_source_clamp = network::Clamp{{voltage, 0.1, 0.1}, 300e-12};
    const InductiveTurnOff off = released(cell, {.current = 0.55});
    CAPTURE(voltage);
    CHECK(off.release_time < time);
    time = off.release_time;
  }
  LowSideCell slow = unclamped(50e-3, 20.0, 12.0, 90.0);
  slow.freewheel = example_cell().freewheel;
  CHECK(released(slow, {.current = 0.55}).release_time > 2.0 * time);
}

TEST_CASE("leads and every clamp together run too, the energies adding up to the inductance's and the supply's") {
  LowSideCell cell = example_cell();
  cell.freewheel.reset();
  cell.drain_source_clamp = network::Clamp{{45.0, 0.2, 0.2}, 300e-12};
  cell.drain_gate_clamp = network::Clamp{{40.0, 2.0, 0.2}, 50e-12};
  const InductiveTurnOff off = released(cell, {.current = 5.0});
  const double taken = off.breakdown_energy + off.channel_energy + off.clamp_energy;
  check_close(taken, off.energy_by_hand, 0.1);
}

TEST_CASE("the ring is that of the edge, as in a double pulse, however long the load takes to be released") {
  LowSideCell cell = example_cell();
  for (const double inductance : {2e-3, 30e-3}) {
    CAPTURE(inductance);
    cell.load = {12.0, inductance, std::nullopt};
    const InductiveTurnOff off = released(cell, {.current = 0.6});
    const DoublePulse pulse = double_pulse(cell, {.current = 0.6}, {});
    CHECK(off.release_time > 20.0 * (pulse.on_time + pulse.off_time));
    check_close(off.turn_off.ring_frequency, pulse.turn_off.ring_frequency, 0.02);
    check_close(off.turn_off.ring_quality, pulse.turn_off.ring_quality, 0.1);
  }
}

TEST_CASE("a release that does not get on says why that may be") {
  const InductiveTurnOff off =
      inductive_turn_off(unclamped(2e-3, 1.0, 12.0, 90.0), {.current = 3.0}, {.maximum_steps = 50});
  CHECK(off.status == integrate::Status::step_limit);
  CHECK(off.message.find("oscillates") != std::string::npos);
  CHECK(std::isnan(off.release_time));
}

TEST_CASE("what cannot be released is refused in words") {
  const auto said = [](const LowSideCell& cell, const InductiveTurnOffRequest& request) {
    return refusal([&] { inductive_turn_off(cell, request, {}); });
  };
  LowSideCell cell = plain_cell();
  CHECK(said(cell, {.current = 0.0}).find("current") != std::string::npos);
  CHECK(said(cell, {.current = 1.0, .remaining_share = 1.0}).find("share") != std::string::npos);
  cell.load = {5.0, 0.0, std::nullopt};
  CHECK(said(cell, {.current = 1.0}).find("inductance") != std::string::npos);
}

}  // namespace
}  // namespace gateswing::study::test
