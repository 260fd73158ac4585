// Single-pulse avalanche against the energy formula, a published rating and the closed form with resistance.
#include "gateswing/study/avalanche_test.h"

#include <doctest/doctest.h>

#include <cmath>
#include <stdexcept>

#include "simulate/run.h"

namespace gateswing::study::test {

using namespace simulate::test;
namespace {

constexpr double breakdown = 100.0;

/// A breakdown voltage that does not depend on the current; capacitances of the size that the part below has.
network::AvalancheCircuit circuit() {
  device::Mosfet<> mosfet;
  mosfet.channel = {3.0, 8.0, 0.0, 0.05};
  mosfet.gate_source = {1.6e-9, 1.6e-9, 0.0, 1.0};
  mosfet.gate_drain = {1e-9, 0.7, 0.5, 20e-12, 3e-9};
  mosfet.drain_source = {2e-9, 0.7, 0.5, 50e-12, 4e-9};
  mosfet.source_inductance = 7.5e-9;
  mosfet.body_diode = {1e-12, 0.03, 0.0, 0.0};
  mosfet.breakdown = {breakdown, 1e-5, 1e-4};
  return {mosfet, 25.0, 440e-6, 0.0, 28.0, 10.0, 25.0, 10e-9};
}

TEST_CASE("the energy of a published rating: 440 uH, 28 A, 25 V, 100 V give 230 mJ") {
  // IRF540, Vishay document 91021: E_AS 230 mJ at these conditions. The formula L I^2/2 BV/(BV - V_DD) (Toshiba's FAQ
  // on avalanche energy) gives 229.97 mJ in L I/(BV - V_DD) = 164.3 us.
  const AvalancheTest test = avalanche_test(circuit(), {});
  REQUIRE(test.succeeded());
  check_close(test.current, 28.0, 2e-3);
  const double scale = test.current / 28.0;
  check_close(test.energy, 230e-3 * scale * scale, 1e-3);
  check_close(test.time_in_avalanche, 164.3e-6 * scale, 1e-3);
  check_close(test.peak_voltage, breakdown, 1e-3);
  CHECK(test.ledger.energy_residual < 1e-6);
}

TEST_CASE("with a resistance the pulse lasts (L/R) ln(1 + R I/(BV - V_DD))") {
  // Solution of L i' = V_DD - BV - R i; its energy is BV times the integral of i.
  for (const double resistance : {0.5, 5.0}) {
    CAPTURE(resistance);
    network::AvalancheCircuit with = circuit();
    with.resistance = resistance;
    const AvalancheTest test = avalanche_test(with, {});
    REQUIRE(test.succeeded());
    const double across = breakdown - with.supply_voltage;
    const double time = with.inductance / resistance * std::log1p(resistance * test.current / across);
    check_close(test.time_in_avalanche, time, 2e-3);
    check_close(test.energy, breakdown * (with.inductance * test.current - across * time) / resistance, 2e-3);
  }
}

TEST_CASE("a supply that would keep the choke charged is refused") {
  network::AvalancheCircuit endless = circuit();
  endless.supply_voltage = breakdown;
  CHECK_THROWS_WITH_AS(avalanche_test(endless, {}), doctest::Contains("below 90 %"), std::invalid_argument);
}

}  // namespace
}  // namespace gateswing::study::test
