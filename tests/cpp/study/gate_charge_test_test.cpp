// The gate charge test against the staircase of constant capacitances and against the charges of the laws.
#include "gateswing/study/gate_charge_test.h"

#include <doctest/doctest.h>

#include <stdexcept>

#include "simulate/clamped_stage.h"
#include "simulate/run.h"

namespace gateswing::study::test {

using namespace simulate::test;
namespace {

constexpr double gate_drain_floor = 0.2e-9;

/// Constant capacitances and a straight transfer line, without anything in series.
device::Mosfet<> straight_mosfet() {
  device::Mosfet<> mosfet;
  mosfet.channel = straight_channel(3.0, 20.0);
  mosfet.gate_source = {1.5e-9, 1.5e-9, 0.0, 1.0};
  mosfet.gate_drain = {1e-18, 0.7, 0.5, gate_drain_floor, 2e-18};
  mosfet.drain_source = {1e-18, 0.7, 0.5, 0.4e-9, 2e-18};
  mosfet.body_diode = {1e-14, 0.03, 0.0, 0.0};
  mosfet.breakdown = {200.0, 0.05, 1.0};
  return mosfet;
}

/// Of the TO-220 class with its leads; invented.
device::Mosfet<> packaged_mosfet() {
  device::Mosfet<> mosfet = straight_mosfet();
  mosfet.channel = {3.2, 60.0, 0.08, 0.08};
  mosfet.gate_source = {2.2e-9, 3.0e-9, 1.5, 1.5};
  mosfet.gate_drain = {1.4e-9, 0.9, 0.75, 15e-12, 2.6e-9};
  mosfet.drain_source = {1.2e-9, 0.8, 0.5, 60e-12, 2.4e-9};
  mosfet.internal_gate_resistance = 1.6;
  mosfet.drift_resistance = 15e-3;
  mosfet.gate_inductance = 5e-9;
  mosfet.drain_inductance = 4e-9;
  mosfet.source_inductance = 6e-9;
  return mosfet;
}

double charge_of(const device::Mosfet<>& mosfet, double v_gs, double v_ds) {
  return device::charge(mosfet.gate_source, v_gs) - device::charge(mosfet.gate_drain, v_ds - v_gs);
}

TEST_CASE("with constant capacitances the charge is (Cgs + Cgd) V + Cgd (V_clamp - v_on)") {
  // Textbook staircase of the gate charge test (JESD24-2).
  const network::GateChargeCircuit circuit{straight_mosfet(), 48.0, 10.0, 0.0};
  const GateChargeTest test = gate_charge_test(circuit, 10.0, {});
  REQUIRE(test.succeeded());
  check_close(test.total, 1.7e-9 * 10.0 + gate_drain_floor * (48.0 - 10.0 / 20.0), 1e-5);
  check_close(test.gate_current, 10e-6, 1e-12);
  CHECK(test.ledger.energy_residual < 1e-6);
}

TEST_CASE("the gate current's integral is the charge that the capacitance laws hold") {
  for (const double gate_current : {0.0, 1e-3}) {
    CAPTURE(gate_current);
    const device::Mosfet<> mosfet = packaged_mosfet();
    const GateChargeTest test = gate_charge_test({mosfet, 50.0, 20.0, gate_current}, 10.0, {});
    REQUIRE(test.succeeded());
    const waveform::Waveform& record = test.waveform;
    const double v_ds = record.value(record.channel("v_ds"), test.total / test.gate_current);
    const double taken = charge_of(mosfet, 10.0, v_ds) - charge_of(mosfet, 0.0, 50.0);
    check_close(test.total, taken, 3e-5);
    CHECK(test.ledger.charge_residual < 1e-4);
  }
}

TEST_CASE("a gate voltage at which the channel does not carry the load has no gate charge") {
  const GateChargeTest test = gate_charge_test({straight_mosfet(), 48.0, 10.0, 0.0}, 3.2, {});
  CHECK(test.succeeded());
  CHECK(std::isnan(test.total));
}

TEST_CASE("a gate charge test without a clamp, a load or an end is refused") {
  CHECK_THROWS_AS(gate_charge_test({straight_mosfet(), 0.0, 10.0, 0.0}, 10.0, {}), std::invalid_argument);
  CHECK_THROWS_AS(gate_charge_test({straight_mosfet(), 48.0, 0.0, 0.0}, 10.0, {}), std::invalid_argument);
  CHECK_THROWS_AS(gate_charge_test({straight_mosfet(), 48.0, 10.0, 0.0}, 0.0, {}), std::invalid_argument);
  CHECK_THROWS_AS(gate_charge_test({straight_mosfet(), 48.0, 10.0, -1.0}, 10.0, {}), std::invalid_argument);
}

}  // namespace
}  // namespace gateswing::study::test
