// The gate voltage that a drain ramp induces through the gate-drain capacitance.
#include <doctest/doctest.h>

#include <cmath>

#include "gateswing/measure/extrema.h"
#include "relative.h"
#include "simulate/run.h"

namespace gateswing::simulate::test {
namespace {

using network::Circuit;
using network::Node;

constexpr double gate_drain = 50e-12;
constexpr double gate_source = 1e-9;
constexpr double input = gate_drain + gate_source;

/// Peak of the gate voltage while the drain rises by `volts` at `slope`.
double induced_peak(double gate_resistance, double volts, double slope) {
  Circuit circuit;
  const Node source = circuit.node("source");
  const Node drain = circuit.node("drain");
  const Node gate = circuit.node("gate");
  circuit.add_voltage_source("drain ramp", source, Node::ground,
                             network::PiecewiseLinear({{0.0, 0.0}, {volts / slope, volts}}));
  // A capacitor may not lie across a changing source alone; this delays the ramp by 1e-6 of its length.
  circuit.add_resistor("source resistance", source, drain, 1e-4);
  circuit.add_capacitor("gate-drain", drain, gate, device::ConstantCapacitance<>{gate_drain});
  circuit.add_capacitor("gate-source", gate, Node::ground, device::ConstantCapacitance<>{gate_source});
  circuit.add_resistor("gate resistor", gate, Node::ground, gate_resistance);
  const Run r = run(circuit, {voltage("v", "gate")}, 1.5 * volts / slope);
  return measure::maximum(r.waveform, r.channel("v"), r.whole()).value;
}

TEST_CASE("a drain ramp of 20 V/ns to 400 V lifts a 5 ohm gate by 4.889 V") {
  // Derived: v = Rg Cgd k (1 - exp(-V/(k Rg Ciss))).
  const double peak = induced_peak(5.0, 400.0, 20e9);
  check_close(peak, 5.0 * gate_drain * 20e9 * -std::expm1(-400.0 / (20e9 * 5.0 * input)), 1e-5);
  CHECK(peak == gateswing_test::relative(4.889, 1e-4));
}

TEST_CASE("a slow ramp lifts the gate by Rg Cgd dv/dt") {
  check_close(induced_peak(5.0, 400.0, 0.2e9), 5.0 * gate_drain * 0.2e9, 1e-5);
}

TEST_CASE("an open gate is lifted by the capacitive share Cgd/Ciss of the ramp, 19.05 V of 400 V") {
  const double peak = induced_peak(1e9, 400.0, 20e9);
  check_close(peak, 400.0 * gate_drain / input, 1e-5);
  CHECK(peak == gateswing_test::relative(19.05, 3e-4));
}

}  // namespace
}  // namespace gateswing::simulate::test
