// What a driver draws and where it goes, over periods of charging and discharging a gate.
#include <doctest/doctest.h>

#include <array>

#include "relative.h"
#include "simulate/run.h"

namespace gateswing::simulate::test {
namespace {

using network::Circuit;
using network::Node;

constexpr double supply = 12.0;
constexpr double frequency = 300e3;

/// Mean powers of one settled period [W].
struct GatePower {
  double drawn;
  double driver;
  double resistor;
};

GatePower drive(const network::CapacitanceLaw& gate, double on_resistance, double off_resistance,
                double gate_resistance, const network::CommandTiming& timing = {}) {
  constexpr double period = 1.0 / frequency;
  Circuit circuit;
  const Node rail = circuit.node("rail");
  const Node output = circuit.node("output");
  const Node top = circuit.node("gate");
  circuit.add_voltage_source("supply", rail, Node::ground, supply);
  const std::array pulses{network::Pulse{0.0, 0.5 * period}, network::Pulse{period, 1.5 * period}};
  const network::InputIndex command = circuit.add_input("command", network::gate_command(pulses, timing));
  circuit.add_driver("driver", rail, output, Node::ground, command,
                     {on_resistance, off_resistance, 0.0, 0.0, 0.0, 0.0, 0.05});
  circuit.add_resistor("gate resistor", output, top, gate_resistance);
  circuit.add_capacitor("gate", top, Node::ground, gate);
  Simulator simulator(network::compile(circuit));
  REQUIRE(simulator.start(0.0));
  const Settings settings{.relative_tolerance = 1e-9};
  REQUIRE(simulator.advance(period, settings, nullptr).status == integrate::Status::success);
  const Interval second = simulator.advance(2.0 * period, settings, nullptr);
  REQUIRE(second.status == integrate::Status::success);
  const network::Ledger ledger = simulator.ledger(second);
  const auto power = [&](std::string_view name) {
    return frequency * std::ranges::find(ledger.entries, name, &network::EnergyEntry::element)->energy;
  };
  return {power("supply"), power("driver"), power("gate resistor")};
}

TEST_CASE("ten nanofarad from 12 V at 300 kHz draw 0.432 W, whatever the resistances, once they settle") {
  // TI UCC27324-Q1, SLUS678A p. 10 (and SLUS504G p. 9): P = C V^2 f = 0.432 W, 0.036 A; measured there 0.037 A.
  const device::ConstantCapacitance<> load{10e-9};
  for (const double resistance : {0.5, 1.5, 3.0}) {
    CAPTURE(resistance);
    const GatePower power = drive(load, resistance, 0.5 * resistance, 2.0 * resistance);
    CHECK(power.drawn == gateswing_test::relative(0.432, 1e-4));
    CHECK(power.drawn / supply == gateswing_test::relative(0.036, 1e-4));
    CHECK(power.driver + power.resistor == gateswing_test::relative(power.drawn, 1e-6));
  }
}

TEST_CASE("a nonlinear gate draws Qg(VDR) VDR f") {
  // TI UCC2752x, SLUSAQ3F p. 24 eq. (5), with the charge of this law.
  const device::StepCapacitance<> gate{2e-9, 4e-9, 2.0, 1.5};
  const double drawn = drive(gate, 3.0, 2.0, 5.0).drawn;
  CHECK(drawn == gateswing_test::relative(device::charge(gate, supply) * supply * frequency, 1e-4));
}

TEST_CASE("driver and gate resistor share the power as their resistances at each edge") {
  // TI UCC2752x, SLUSAQ3F eq. (6): PSW = QG VDD f/2 (ROFF/(ROFF + RG) + RON/(RON + RG)), RON the effective one; the
  // earlier print, SLUSAQ3E, lacks the factor 1/2. Exact, since series resistances carry one current.
  const device::ConstantCapacitance<> load{10e-9};
  constexpr double on = 2.4;
  constexpr double off = 0.9;
  constexpr double gate = 4.7;
  const GatePower power = drive(load, on, off, gate);
  const double expected = 0.5 * 0.432 * (off / (off + gate) + on / (on + gate));
  CHECK(power.driver == gateswing_test::relative(expected, 1e-4));
}

TEST_CASE("slow edges draw no more than C V^2 f") {
  const device::ConstantCapacitance<> load{10e-9};
  const GatePower sharp = drive(load, 1.0, 1.0, 2.0);
  const GatePower slow = drive(load, 1.0, 1.0, 2.0, {200e-9, 200e-9, 0.0, 0.0});
  CHECK(slow.drawn <= sharp.drawn * (1.0 + 1e-6));
  CHECK(slow.drawn == gateswing_test::relative(slow.driver + slow.resistor, 1e-6));
}

}  // namespace
}  // namespace gateswing::simulate::test
