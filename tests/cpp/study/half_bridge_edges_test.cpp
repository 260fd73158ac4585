// Commutations of a half bridge against closed forms, and the trends that measurements show.
#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "gateswing/study/half_bridge_edges.h"
#include "network/example_bridge.h"
#include "network/support.h"
#include "simulate/run.h"

namespace gateswing::study::test {

using namespace simulate::test;
namespace {

using network::HalfBridgeCell;
using network::Side;
using network::test::example_bridge;
using network::test::plain_bridge;
using network::test::refusal;

/// A bridge whose switches turn on slowly and off fast, so that no gate is lifted.
HalfBridgeCell calm_bridge(double current) {
  HalfBridgeCell cell = plain_bridge();
  for (network::BridgeSwitch* one : {&cell.high, &cell.low}) {
    one->gate.turn_on_resistance = 40.0;
    one->gate.steering = device::KneeConduction<>{0.0, 0.1, 0.01};
  }
  cell.load.constant_current = current;
  return cell;
}

HalfBridgeEdges edges(const HalfBridgeCell& cell, const HalfBridgeRequest& request) {
  HalfBridgeEdges result = half_bridge_edges(cell, request, {.relative_tolerance = 1e-8});
  REQUIRE(result.status == integrate::Status::success);
  CHECK(result.ledger.energy_residual < 1e-6);
  return result;
}

double energy(const HalfBridgeEdges& of, std::string_view element) {
  const auto found = std::ranges::find(of.ledger.entries, element, &network::EnergyEntry::element);
  REQUIRE(found != of.ledger.entries.end());
  return found->energy;
}

/// Charge at the drain: into C_DS and C_GD [C].
double drain_charge(const device::Mosfet<>& mosfet, double v_ds, double v_gs) {
  return device::charge(mosfet.drain_source, v_ds) + device::charge(mosfet.gate_drain, v_ds - v_gs);
}

/// From its own threshold, the drain at `begin` [V], to gate off and the bus [C].
double output_charge(const device::Mosfet<>& mosfet, double begin, double bus) {
  return drain_charge(mosfet, bus, 0.0) - drain_charge(mosfet, begin, mosfet.channel.threshold_voltage);
}

TEST_CASE("at a hard turn-on the capacitances of the other switch take their charge law's charge") {
  const HalfBridgeCell cell = calm_bridge(10.0);
  const HalfBridgeEdges hard = edges(cell, {.dead_time = 150e-9});
  const SwitchChannels low = channels_of(Side::low);
  const double begin = hard.waveform.value(low.drain_voltage, hard.to_active.outgoing_off);
  check_close(hard.to_active.capacitive_charge,
              output_charge(cell.low.mosfet, begin, hard.waveform.value(low.drain_voltage, hard.on_time)), 1e-4);
  CHECK(hard.to_active.shoot_through_charge < 1e-3 * hard.to_active.capacitive_charge);
}

TEST_CASE("without load the bus delivers its voltage times the output charge of both switches in a cycle") {
  // Each switch is charged by the other one's channel, from the bus (references: an energy balance, any C(v)).
  HalfBridgeCell cell = calm_bridge(0.0);
  // A small C_GD, whose charge moves with the gate too and partly ends in the body diode of a switch without load.
  for (network::BridgeSwitch* one : {&cell.high, &cell.low}) one->mosfet.gate_drain = {2e-12, 0.9, 0.5, 2e-12, 4e-12};
  const HalfBridgeEdges idle = edges(cell, {.dead_time = 150e-9});
  check_close(energy(idle, "bus supply"), 48.0 * 2.0 * output_charge(cell.low.mosfet, 0.0, 48.0), 5e-3);
}

TEST_CASE("a body diode that a loop inductance commutates gives back the charge of the charge-control law") {
  // Lauritzen and Ma (1991), as in diode_recovery_test: tau 100 ns, TM 25 ns, 10 A at 100 A/us give 337.6 nC, 6.457 A.
  HalfBridgeCell cell = calm_bridge(10.0);
  cell.loop_inductance = 0.5e-6;
  for (network::BridgeSwitch* one : {&cell.high, &cell.low}) {
    one->mosfet.channel = {3.0, 2000.0, 0.0, 0.04};
    one->mosfet.gate_source = {50e-12, 50e-12, 0.0, 1.0};
    one->mosfet.gate_drain = {1e-15, 1.0, 0.5, 0.1e-12, 2e-15};
    one->mosfet.drain_source = {1e-15, 1.0, 0.5, 0.1e-12, 2e-15};
    one->mosfet.drift_resistance = 0.0;
    one->mosfet.body_diode = {1e-12, 0.026, 25e-9, 100e-9};
    one->mosfet.breakdown = {600.0, 0.05, 1.0};
    one->driver.timing = {1e-9, 1e-9, 0.0, 0.0};
  }
  cell.supply.voltage = 50.0 - network::junction_voltage(cell.low.mosfet.body_diode, 10.0);
  const HalfBridgeEdges hard = edges(cell, {.dead_time = 2e-6, .on_time = 3e-6, .off_time = 3e-6});
  check_close(hard.to_active.recovery_charge, 337.6e-9, 2e-3);
  check_close(hard.to_active.peak_reverse_current, 6.457, 3e-3);
  check_close(hard.turn_on.peak_drain_current, 10.0 + 6.457, 3e-3);
}

TEST_CASE("20 V/ns over 400 V lift a gate of 5 ohm, 50 pF and 1.05 nF by 4.889 V") {
  // Derived: v = R Cgd k (1 - exp(-V/(k R Ciss))). 1 A into 50 pF makes the ramp.
  HalfBridgeCell cell = plain_bridge();
  cell.supply.voltage = 400.0;
  cell.load.constant_current = 5.0;
  for (network::BridgeSwitch* one : {&cell.high, &cell.low}) {
    one->mosfet.channel = {10.0, 2e4, 0.0, 0.04};
    one->mosfet.gate_source = {1e-9, 1e-9, 0.0, 1.0};
    one->mosfet.gate_drain = {1e-16, 1.0, 0.5, 50e-12, 2e-16};
    one->mosfet.drain_source = {1e-16, 1.0, 0.5, 10e-12, 2e-16};
    one->mosfet.internal_gate_resistance = 0.0;
    one->mosfet.breakdown = {900.0, 0.1, 1.0};
    one->driver.supply_voltage = 20.0;
    one->driver.timing = {0.5e-9, 0.5e-9, 0.0, 0.0};
    one->gate.turn_on_resistance = 0.0;
  }
  cell.high.driver.output = {1e-3, 1e-3, 1.0, 1.0, 0.0, 0.0, 0.05};
  cell.low.driver.output = {5.0, 5.0, 0.0, 0.0, 0.0, 0.0, 0.05};
  const HalfBridgeEdges hard = edges(cell, {.dead_time = 100e-9});
  check_close(hard.turn_on.maximum_voltage_slope, 20e9, 1e-3);
  check_close(hard.to_active.induced_gate_voltage, 4.889, 2e-3);
  check_close(hard.to_active.threshold_margin, 10.0 - 4.889, 2e-3);
}

TEST_CASE("a longer dead time costs forward voltage times current for longer, and nothing else") {
  const HalfBridgeCell cell = calm_bridge(10.0);
  const double drop = network::junction_voltage(cell.low.mosfet.body_diode, 10.0);
  const HalfBridgeEdges early = edges(cell, {.dead_time = 150e-9});
  const HalfBridgeEdges late = edges(cell, {.dead_time = 250e-9, .on_time = early.on_time});
  check_close(late.to_active.diode_conduction_energy - early.to_active.diode_conduction_energy, 100e-9 * 10.0 * drop,
              1e-3);
  // Here the gate, which the falling drain pulled below zero, comes back through 40 ohm and C_GD meanwhile.
  check_close(late.from_active.diode_conduction_energy - early.from_active.diode_conduction_energy,
              100e-9 * 10.0 * drop, 2e-2);
  check_close(late.turn_on.energy, early.turn_on.energy, 1e-3);
}

TEST_CASE("the dead time called just enough is: the gates cross their thresholds together, less shoots through") {
  const HalfBridgeCell cell = calm_bridge(10.0);
  const double needed = edges(cell, {.dead_time = 150e-9}).to_active.dead_time_needed;
  const HalfBridgeEdges just = edges(cell, {.dead_time = needed});
  CHECK(std::abs(just.to_active.gate_gap) < 1e-9);
  double charge = std::numeric_limits<double>::infinity();
  for (const double more : {-40e-9, -20e-9, 0.0, 20e-9}) {
    const double now = edges(cell, {.dead_time = needed + more}).to_active.shoot_through_charge;
    CAPTURE(more);
    CHECK(now < charge);
    charge = now;
  }
  CHECK(charge < 1e-12);
}

TEST_CASE("what shoots through burns the bus voltage times its charge") {
  const HalfBridgeCell cell = calm_bridge(10.0);
  const HalfBridgeEdges overlap = edges(cell, {.dead_time = -40e-9});
  const double bus = 48.0 - 2.0 * 0.015 * 10.0;
  const CommutationFigures& at = overlap.to_active;
  CHECK(at.shoot_through_charge > 100e-9);
  CHECK(at.gate_gap < 0.0);
  // The drift resistances take the rest.
  CHECK(at.shoot_through_energy < bus * at.shoot_through_charge);
  CHECK(at.shoot_through_energy > 0.8 * bus * at.shoot_through_charge);
}

TEST_CASE("a current against the active switch commutates softly") {
  const HalfBridgeEdges hard = edges(calm_bridge(10.0), {.dead_time = 200e-9});
  const HalfBridgeEdges soft = edges(calm_bridge(-10.0), {.dead_time = 200e-9});
  CHECK(hard.to_active.voltage_at_turn_on > 48.0);
  CHECK(soft.to_active.voltage_at_turn_on < 0.0);
  CHECK(soft.turn_on.channel_heat < 0.2 * hard.turn_on.channel_heat);
  CHECK(std::isnan(soft.turn_on.energy));
  CHECK(soft.from_active.voltage_at_turn_on > 48.0);
}

TEST_CASE("the bridge is the same seen from below: active low and reversed current give the same figures") {
  const HalfBridgeEdges above = edges(calm_bridge(10.0), {.dead_time = 120e-9});
  const HalfBridgeEdges below = edges(calm_bridge(-10.0), {.active = Side::low, .dead_time = 120e-9});
  check_close(below.turn_on.energy, above.turn_on.energy, 1e-6);
  check_close(below.turn_off.energy, above.turn_off.energy, 1e-6);
  check_close(below.to_active.capacitive_charge, above.to_active.capacitive_charge, 1e-6);
  check_close(below.from_active.diode_conduction_energy, above.from_active.diode_conduction_energy, 1e-6);
}

TEST_CASE("the trends of a measured bridge hold") {
  // S. S. Ahmad and G. Narayanan, NPEC 2017, 319-324: the voltage rises much more slowly at low current; more
  // capacitance at the node raises Eon and lowers Eoff; the current takes longer to rise to a larger value. (That
  // voltage times grow with the bus holds for their capacitances, not for a C_GD as nonlinear as this one.)
  const auto at = [](double current, double extra) {
    HalfBridgeCell cell = calm_bridge(current);
    cell.low.mosfet.drain_source.floor += extra;
    return edges(cell, {.dead_time = 250e-9});
  };
  const HalfBridgeEdges base = at(10.0, 0.0);
  const HalfBridgeEdges low_current = at(1.0, 0.0);
  const HalfBridgeEdges loaded = at(10.0, 1e-9);
  CHECK(low_current.turn_on.instants.drain_begin < base.turn_on.instants.drain_begin);
  CHECK(low_current.turn_off.fall_time > 3.0 * base.turn_off.fall_time);
  CHECK(loaded.turn_on.energy > base.turn_on.energy);
  CHECK(loaded.turn_off.energy < base.turn_off.energy);
}

TEST_CASE("the full bridge runs hard, soft and overlapping, its ledger closed") {
  HalfBridgeCell cell = example_bridge();
  for (const double dead_time : {100e-9, -30e-9}) {
    for (const double current : {12.0, -12.0}) {
      const HalfBridgeEdges full = edges(cell, {.current = current, .dead_time = dead_time});
      check_close(full.waveform.value(BridgeChannels::load_current, full.waveform.begin()), current, 1e-6);
    }
  }
}

TEST_CASE("what cannot be is refused in words") {
  constexpr double nan = std::numeric_limits<double>::quiet_NaN();
  const auto said = [](const HalfBridgeCell& cell, const HalfBridgeRequest& request) {
    return refusal([&] { half_bridge_edges(cell, request, {}); });
  };
  CHECK(said(plain_bridge(), {.current = 3.0}).find("constant current") != std::string::npos);
  HalfBridgeCell resistive = plain_bridge();
  resistive.load = {5.0, 0.0, std::nullopt};
  CHECK(said(resistive, {}).find("inductance") != std::string::npos);
  CHECK(said(plain_bridge(), {.dead_time = nan}).find("dead time") != std::string::npos);
  CHECK(said(plain_bridge(), {.dead_time = 2e-6, .on_time = 1e-6}).find("dead time") != std::string::npos);
  CHECK(said(plain_bridge(), {.on_time = -1e-6}).find("on-time") != std::string::npos);
  HalfBridgeCell crowded = example_bridge();
  for (network::BridgeSwitch* part : {&crowded.high, &crowded.low}) part->gate.pull_down_resistance = 10e3;
  crowded.load.core_resistance = 1e3;
  CHECK(said(crowded, {}).find("states") != std::string::npos);
}

}  // namespace
}  // namespace gateswing::study::test
